#pragma once

#include "firmware/diagnosis/diagnose.h"

namespace cornerbench::field {

/// True when both say the same cause at the same place; variants and magnitudes do not count.
bool same_cause_and_place(const scale::Fault& a, const scale::Fault& b);

/// True when the candidate says that cause at that place, and no second one with it.
bool same_cause_and_place(const diagnosis::Candidate& candidate, const scale::Fault& fault);

/// True when both say the same causes at the same places.
bool same_cause_and_place(const diagnosis::Candidate& a, const diagnosis::Candidate& b);

}  // namespace cornerbench::field
