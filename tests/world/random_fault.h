#pragma once

#include "firmware/scale/causes.h"
#include "tests/random_scale.h"

namespace cornerbench::tests {

/// A fault drawn from all places, variants and sizes that `cause` can have on this scale.
inline scale::Fault random_fault(Draw& draw, const scale::Description& d, scale::Cause cause) {
    scale::Fault fault;
    fault.cause = cause;
    fault.site = scale::site_at(d, cause, draw.integer(0, scale::site_count(d, cause) - 1));
    fault.variant = scale::variant_at(d, cause, draw.integer(0, scale::variant_count(d, cause) - 1));
    const scale::Magnitudes sizes = scale::magnitudes_of(d, cause, fault.site);
    for (unsigned i = 0; i < static_cast<unsigned>(sizes.count); ++i) {
        const scale::Magnitude& size = sizes.of[i];
        fault.magnitude[i] = size.spread == scale::Spread::log_uniform ? draw.log_uniform(size.low, size.high)
                                                                       : draw.uniform(size.low, size.high);
    }
    return fault;
}

}  // namespace cornerbench::tests
