#pragma once

#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/next_check.h"

/// A diagnosed sheet with everything that a person asks next: why, what else it could be, what to read now.
namespace cornerbench::field {

/// Candidates that the readings cannot tell apart.
struct CauseGroup {
    std::vector<int> members;  ///< indices into `candidates`
    double probability = 0.0;
    bool like_healthy = false;        ///< the readings cannot tell its members from a healthy scale either
    std::vector<NextCheck> split_by;  ///< the reading that tells the members apart; empty when none does
};

/// Every measured value beside its prediction by one candidate.
struct Comparison {
    int candidate = 0;
    std::vector<diagnosis::Compared> rows;
};

struct DiagnosedSheet {
    diagnosis::Outcome outcome;
    std::vector<diagnosis::Candidate> candidates;  ///< most probable first, probabilities sum to 1
    std::vector<CauseGroup> groups;
    std::vector<diagnosis::Compared> if_healthy;
    /// Of the leading faults, one of each group, none that the readings cannot tell from a healthy scale.
    std::vector<Comparison> explained;
    std::vector<NextCheck> next;
    std::vector<int> about;  ///< candidates that `next`'s expectations speak of, in their order
};

/// Diagnoses a sheet with the core's engine. Throws std::runtime_error when the engine cannot answer.
DiagnosedSheet diagnose_sheet(const scale::Description& description, const diagnosis::Sheet& sheet,
                              const diagnosis::Priors& priors);

/// Only the ranking, without explanations or checks.
DiagnosedSheet rank_causes(const scale::Description& description, const diagnosis::Sheet& sheet,
                           const diagnosis::Priors& priors);

}  // namespace cornerbench::field
