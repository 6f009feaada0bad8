#pragma once

#include <array>
#include <cstdint>
#include <functional>

#include "sim/field/diagnosed_sheet.h"
#include "sim/field/simulated_sheet.h"

/// How good is the diagnosis? Complaints with a known cause, drawn by the priors, are simulated and
/// diagnosed; or sheets of sound scales, to see how often it cries wolf.
namespace cornerbench::field {

struct TrialSetting {
    int sheets = 100;
    std::uint64_t first_seed = 1;
    bool healthy = false;  ///< every sheet from a sound scale, to count false alarms
    SheetPlan plan;
    SheetSetting setting;
};

struct CauseTally {
    int drawn = 0;
    int on_top = 0;            ///< the true cause at its place came first
    int in_top_group = 0;      ///< came first, or is one of those that readings cannot tell from the first
    double probability = 0.0;  ///< given to the truth, summed
};

inline constexpr int reliability_bins = 10;

/// Statements "this cause, here, with probability p", by p in tenths: what was stated, and what came true.
struct ReliabilityBin {
    int statements = 0;
    double stated = 0.0;  ///< sum of the probabilities
    int true_ones = 0;
};

/// How often a cause came first on the sheet of a sound scale.
struct FalseAlarms {
    int first = 0;
    int sure = 0;  ///< of these, with a probability above `sure_alarm`
};

inline constexpr double sure_alarm = 0.9;

struct Trial {
    int sheets = 0;
    int failed = 0;  ///< sheets for which there was no answer
    int on_top = 0;
    int in_top_three = 0;
    int in_top_group = 0;
    double log_score = 0.0;  ///< sum of -log2 of the probability given to the truth, bits
    std::array<CauseTally, scale::cause_count> causes{};
    std::array<ReliabilityBin, reliability_bins> reliability{};
    std::array<FalseAlarms, scale::cause_count> false_alarms{};  ///< by scale::index_of; 0 for healthy itself

    FalseAlarms all_false_alarms() const;
};

/// True when both say the same cause at the same place; variants and magnitudes do not count.
bool same_cause_and_place(const scale::Fault& a, const scale::Fault& b);

/// Runs the trial. `progress`, when given, hears the number of sheets done.
Trial run_trial(const scale::Description& description, const diagnosis::Priors& priors,
                const TrialSetting& setting, const std::function<void(int)>& progress = {});

}  // namespace cornerbench::field
