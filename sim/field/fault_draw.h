#pragma once

#include <span>

#include "firmware/scale/causes.h"
#include "sim/field/random_source.h"

namespace cornerbench::field {

/// Draws a fault as the priors say: a cause by its weight in `weights` (by scale::index_of; causes that this
/// scale cannot have count as 0), then evenly a place and a variant, then magnitudes over their ranges.
scale::Fault draw_fault(const scale::Description& description, std::span<const double> weights,
                        RandomSource& random);

/// The same when the cause is already known.
scale::Fault draw_fault_of(const scale::Description& description, scale::Cause cause, RandomSource& random);

}  // namespace cornerbench::field
