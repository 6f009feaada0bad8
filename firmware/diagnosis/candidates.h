#pragma once

#include <span>

#include "firmware/diagnosis/diagnose.h"

/// The list of everything that can be wrong with a scale, and what its members have in common.
namespace cornerbench::diagnosis {

/// Fills `out` with every cause at every place, places of one cell together, so that faults that touch the
/// same readings follow each other. Returns how many.
int list_candidates(const scale::Description& description, const Priors& priors, std::span<Candidate> out);

/// Most probable first; equals keep their order.
void sort_candidates(std::span<Candidate> candidates);

/// Doubles that grouping takes for a sheet of `rows` measured values.
int grouping_doubles(int rows);

/// Puts candidates whose predictions the readings cannot tell apart into groups. Returns the number of
/// groups.
int group_candidates(numbers::Arena& arena, EvidenceIntegral& evidence, Predictor& predictor,
                     Likelihood& likelihood, std::span<Candidate> candidates);

}  // namespace cornerbench::diagnosis
