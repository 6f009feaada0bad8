#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "sim/field/check_minutes.h"
#include "sim/field/simulated_sheet.h"
#include "sim/field/trial_tally.h"

/// How good is the diagnosis? Complaints with a known cause, drawn by the priors, are simulated and
/// diagnosed; or sheets of sound scales, to see how often it cries wolf.
namespace cornerbench::field {

/// How many sheets of what kind a trial draws, and from which seed on.
struct TrialSetting {
    int sheets = 100;
    std::uint64_t first_seed = 1;
    bool healthy = false;  ///< every sheet from a sound scale, to count false alarms
    bool wild = false;     ///< one value of every sheet is mistyped
    SheetPlan plan;
    SheetSetting setting;
    CheckMinutes minutes;  ///< of visits only
};

/// One part of a trial that is spread over machines: number 1 to `parts`.
struct TrialShard {
    int number = 1;
    int parts = 1;

    /// Sheets of this part, counted from 0: `begin` to before `end`. The parts together are the whole.
    int begin(int sheets) const;
    int end(int sheets) const;
};

/// What is wrong with the scale of the sheet with number `seed`, drawn by the priors.
scale::Fault truth_of(const scale::Description& description, const diagnosis::Priors& priors,
                      const TrialSetting& setting, std::uint64_t seed);

/// Runs one part of the trial, one outcome per sheet in the order of their seeds, which depend on nothing but
/// the seed. `progress`, when given, hears the number of sheets done.
std::vector<SheetOutcome> run_trial(const scale::Description& description, const diagnosis::Priors& priors,
                                    const TrialSetting& setting, const TrialShard& shard = {},
                                    const std::function<void(int)>& progress = {});

}  // namespace cornerbench::field
