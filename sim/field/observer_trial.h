#pragma once

#include <functional>
#include <vector>

#include "sim/field/ideal_observer.h"
#include "sim/field/trial.h"

/// The diagnosis beside an ideal observer, on the same sheets: what nobody could tell from them is not held
/// against it.
namespace cornerbench::field {

/// One sheet as the diagnosis and as the ideal observer answer it.
struct ObserverCase {
    std::uint64_t seed = 0;
    SheetOutcome diagnosis;
    SheetOutcome ideal;

    friend bool operator==(const ObserverCase&, const ObserverCase&) = default;
};

/// As `run_trial`. The observer knows a plain world only: `setting` has nothing unmodelled and nothing
/// mistyped.
std::vector<ObserverCase> run_observer_trial(const scale::Description& description,
                                             const diagnosis::Priors& priors, const TrialSetting& setting,
                                             const TrialShard& shard = {},
                                             const std::function<void(int)>& progress = {},
                                             const IdealSetting& ideal = {});

/// Both by themselves.
struct ObserverTrial {
    Trial diagnosis;
    Trial ideal;
};

ObserverTrial tally_observer(std::span<const ObserverCase> cases);

}  // namespace cornerbench::field
