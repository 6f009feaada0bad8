#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "sim/field/cause_and_place.h"
#include "sim/field/diagnosed_sheet.h"

/// What came of the sheets of a trial, each by itself and all together.
namespace cornerbench::field {

inline constexpr int reliability_bins = 10;

/// Statements "this cause, here, with probability p", by p in tenths: what was stated, and what came true.
struct ReliabilityBin {
    int statements = 0;
    double stated = 0.0;  ///< sum of the probabilities
    int true_ones = 0;

    friend bool operator==(const ReliabilityBin&, const ReliabilityBin&) = default;
};

inline constexpr double plain_effect = 10.0;
inline constexpr int small_group = 4;

/// What came of one sheet: the truth, what the diagnosis said first, and how much it gave to the truth.
struct SheetOutcome {
    std::uint64_t seed = 0;
    bool answered = false;  ///< what follows, but for the truth, means something only then
    scale::Cause truth = scale::Cause::healthy;
    scale::Cause first = scale::Cause::healthy;  ///< what came first
    double first_probability = 0.0;
    int rank = -1;  ///< of the true cause at its place, the first being 0; -1: not among them
    bool in_top_group =
        false;                 ///< it came first, or is one of those that readings cannot tell from the first
    double probability = 0.0;  ///< given to the true cause at its place
    double brier = 0.0;        ///< sum over all candidates of (probability - truth)^2
    std::array<ReliabilityBin, reliability_bins> said{};
    int group_size = 1;  ///< of what came first
    /// The fault moves some reading of a full sheet by more than `plain_effect` standard uncertainties.
    bool plain = false;
    bool wild = false;        ///< one value was mistyped
    bool wild_named = false;  ///< and was set aside
    /// With every value as it was read, the cause came first or is in the group that did.
    bool right_as_read = false;

    /// Came first, or is in the group that did while that is small enough to act on.
    bool in_small_group() const { return rank == 0 || (in_top_group && group_size <= small_group); }

    friend bool operator==(const SheetOutcome&, const SheetOutcome&) = default;
};

/// What `ranked` makes of a sheet whose cause is `truth`.
SheetOutcome outcome_of(std::uint64_t seed, const DiagnosedSheet& ranked, const scale::Fault& truth);

/// What came of the sheets with one cause.
struct CauseTally {
    int drawn = 0;
    int on_top = 0;            ///< the true cause at its place came first
    int in_top_group = 0;      ///< came first, or is one of those that readings cannot tell from the first
    double probability = 0.0;  ///< given to the truth, summed
    /// By scale::index_of: how often this cause came first while the truth was another cause or place.
    std::array<int, scale::cause_count> mistaken_for{};
};

/// How often a cause came first on the sheet of a sound scale.
struct FalseAlarms {
    int first = 0;
    int sure = 0;  ///< of these, with a probability above `sure_alarm`
};

inline constexpr double sure_alarm = 0.9;

/// The sheets of a trial together. Sums run in the order given: the same outcomes, the same last digits.
struct Trial {
    int sheets = 0;
    int failed = 0;  ///< sheets for which there was no answer
    int on_top = 0;
    int in_top_three = 0;
    int in_top_group = 0;
    double log_score = 0.0;  ///< sum of -log2 of the probability given to the truth, bits
    double brier = 0.0;      ///< sum over the sheets
    std::array<CauseTally, scale::cause_count> causes{};
    std::array<ReliabilityBin, reliability_bins> reliability{};
    std::array<FalseAlarms, scale::cause_count> false_alarms{};  ///< by scale::index_of; 0 for healthy itself

    /// Of all causes together.
    FalseAlarms all_false_alarms() const;
    /// Sheets of faults; and of these, those on which healthy came first.
    int faults = 0;
    int misses = 0;
    int plain = 0;          ///< sheets of plain faults
    int plain_answers = 0;  ///< of these, with the cause first or in a small group that came first
    int wild = 0;           ///< sheets with a mistyped value
    int wild_named = 0;
    int wild_answers = 0;   ///< the value named and the cause first or in the group that came first
    int right_as_read = 0;  ///< of the sheets with a mistyped value, right with every value as it was read
    int still_right = 0;    ///< and right without it, its value named

    /// Mean difference between what was stated and what came true, over the bins, each counting by its
    /// statements: the expected calibration error.
    double calibration_error() const;
};

Trial tally(std::span<const SheetOutcome> outcomes);

}  // namespace cornerbench::field
