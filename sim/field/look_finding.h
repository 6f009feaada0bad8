#pragma once

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/causes.h"

namespace cornerbench::field {

/// Probability that somebody who looks there finds the thing not as it should be on a scale with `fault`.
/// Common practice, no source; thought up apart from what the diagnosis believes of the same looks.
double chance_of_finding(const diagnosis::Reading& look, const scale::Fault& fault);

}  // namespace cornerbench::field
