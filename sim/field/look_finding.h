#pragma once

#include <span>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/causes.h"

namespace cornerbench::field {

/// Probability that somebody who looks there finds the thing not as it should be on a scale with `fault`.
/// Common practice, no source; thought up apart from what the diagnosis believes of the same looks.
double chance_of_finding(const diagnosis::Reading& look, const scale::Fault& fault);

/// Names the exchanged wires where `look` found wire colours not as they should be: those of the first fault
/// that exchanges some there, now and then others; any where it is mistaken; none where another maker's
/// colours are why. `draw` from 0 to below 1.
void name_exchanged(diagnosis::Reading& look, std::span<const scale::Fault> faults, double draw);

/// What somebody who overlooks and mistakes nothing finds: what shows more often than not.
diagnosis::Reading plainly_seen(const diagnosis::Reading& look, std::span<const scale::Fault> faults);

}  // namespace cornerbench::field
