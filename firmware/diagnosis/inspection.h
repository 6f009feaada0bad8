#pragma once

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/causes.h"

namespace cornerbench::diagnosis {

/// Logarithm of the probability that an inspection finds what it found, and names the wires that it named,
/// when `fault` is present, and `also` with it. How often a look shows a cause, and how often it deceives:
/// common practice, no source.
double log_inspection(const Reading& inspection, const scale::Fault& fault, const scale::Fault& also = {});

}  // namespace cornerbench::diagnosis
