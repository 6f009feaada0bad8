#pragma once

#include "firmware/scale/causes.h"

namespace cornerbench::field {

/// True when both say the same cause at the same place; variants and magnitudes do not count.
bool same_cause_and_place(const scale::Fault& a, const scale::Fault& b);

}  // namespace cornerbench::field
