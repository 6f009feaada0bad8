#pragma once

#include <optional>
#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/next_check.h"

namespace cornerbench::field {

/// Candidates that the readings cannot tell apart.
struct CauseGroup {
    std::vector<int> members;  ///< indices into `candidates`
    double probability = 0.0;
    bool like_healthy = false;        ///< the readings cannot tell its members from a healthy scale either
    std::vector<NextCheck> split_by;  ///< the reading that tells the members apart; empty when none does
};

/// A reading that a fault explains by knowing less of it than a healthy scale does, not by predicting it.
struct Widened {
    int row = 0;              ///< index into the comparison's rows
    bool by_placing = false;  ///< mostly because it is not known where the load really stood
};

/// Every reading beside its prediction by one fault, without those set aside.
struct Comparison {
    int candidate = 0;
    std::vector<diagnosis::Compared> rows;
    std::vector<diagnosis::Seen> seen;  ///< readings without a value, and things looked at
    std::vector<Widened> widened;
};

/// Two readings of one and the same thing that no uncertainty of theirs reconciles.
struct Contradiction {
    int first = 0;
    int second = 0;
    double standard_uncertainties = 0.0;  ///< of the measurements alone, by which they differ
};

/// A reading without a value, or a thing seen, that the answer does not let expect.
struct Unexpected {
    int reading = 0;
    diagnosis::Seen by_answer;  ///< what the answer predicts in its place
    /// Index of the cause on the list that would show it, the likeliest of several; -1 when none is asked.
    int shown_by = -1;
};

/// A diagnosed sheet with everything that a person asks next: why, what else it could be, what to read now.
struct DiagnosedSheet {
    diagnosis::Outcome outcome;
    /// Single causes and, where none explains the readings, pairs; most probable first, probabilities sum
    /// to 1.
    std::vector<diagnosis::Candidate> candidates;
    std::vector<CauseGroup> groups;
    Comparison if_healthy;
    /// By the most probable of all; where that is unlisted, by `nearest` or a healthy scale.
    Comparison answer;
    std::vector<Unexpected> unexpected;
    /// Where the most probable cause does not explain everything, or where that is unlisted and another comes
    /// nearest: indices into the answer's rows of what it leaves furthest off.
    std::vector<int> left_over;
    /// Of the leading faults, one of each group, none that the readings cannot tell from a healthy scale.
    std::vector<Comparison> explained;
    std::vector<Contradiction> contradictions;
    /// Where no cause explains the readings: the fault on the list that comes nearest, if one comes clearly
    /// nearer than a healthy scale.
    std::optional<Comparison> nearest;
    std::vector<NextCheck> next;                   ///< what is proposed, in this order
    std::vector<NextCheck> further;                ///< for those who cannot take these, best first
    std::vector<diagnosis::Candidate> next_about;  ///< between whom both decide

    /// The best of all causes misses the readings by far more than their uncertainties let expect.
    bool fits_no_cause() const;
};

/// Diagnoses a sheet with the core's engine; checks are proposed by these minutes, from what stands ready,
/// without those that are passed over.
/// Throws std::runtime_error when the engine cannot answer.
DiagnosedSheet diagnose_sheet(const scale::Description& description, const diagnosis::Sheet& sheet,
                              const diagnosis::Priors& priors, const CheckMinutes& minutes = {},
                              const Workplace& from = {},
                              std::span<const diagnosis::Reading> passed_over = {});

/// Whether an explanation of `with` is no better than the wider uncertainty it comes with; `healthy` is the
/// same reading beside a healthy scale's prediction.
bool only_widened(const diagnosis::Compared& healthy, const diagnosis::Compared& with);

/// Only the ranking, without explanations or checks.
DiagnosedSheet rank_causes(const scale::Description& description, const diagnosis::Sheet& sheet,
                           const diagnosis::Priors& priors);

}  // namespace cornerbench::field
