#pragma once

#include <span>
#include <vector>

#include "firmware/diagnosis/diagnose.h"

namespace cornerbench::field {

/// Between whom the next check ought to decide: the likely ones of `candidates` (most probable first), once
/// for each variant that is worth telling apart, at most sixteen. Something on no list is left out: between
/// the others the question is open whatever it takes.
std::vector<diagnosis::Candidate> open_question(const scale::Description& description,
                                                std::span<const diagnosis::Candidate> candidates);

}  // namespace cornerbench::field
