#pragma once

#include <optional>
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

/// Every reading beside its prediction by one fault, without those set aside.
struct Comparison {
    int candidate = 0;
    std::vector<diagnosis::Compared> rows;
    std::vector<diagnosis::Seen> seen;  ///< readings without a value, and things looked at
};

/// Two readings of one and the same thing that no uncertainty of theirs reconciles.
struct Contradiction {
    int first = 0;
    int second = 0;
    double standard_uncertainties = 0.0;  ///< of the measurements alone, by which they differ
};

struct DiagnosedSheet {
    diagnosis::Outcome outcome;
    std::vector<diagnosis::Candidate> candidates;  ///< most probable first, probabilities sum to 1
    std::vector<CauseGroup> groups;
    Comparison if_healthy;
    /// Of the leading faults, one of each group, none that the readings cannot tell from a healthy scale.
    std::vector<Comparison> explained;
    std::vector<Contradiction> contradictions;
    /// Where no cause explains the readings: the fault on the list that comes nearest.
    std::optional<Comparison> nearest;
    std::vector<NextCheck> next;

    /// The best of all causes misses the readings by far more than their uncertainties let expect.
    bool fits_no_cause() const;
};

/// Diagnoses a sheet with the core's engine. Throws std::runtime_error when the engine cannot answer.
DiagnosedSheet diagnose_sheet(const scale::Description& description, const diagnosis::Sheet& sheet,
                              const diagnosis::Priors& priors);

/// Only the ranking, without explanations or checks.
DiagnosedSheet rank_causes(const scale::Description& description, const diagnosis::Sheet& sheet,
                           const diagnosis::Priors& priors);

}  // namespace cornerbench::field
