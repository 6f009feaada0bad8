#include "sim/field/observer_trial.h"

#include <stdexcept>
#include <utility>

#include "sim/field/side_by_side.h"

namespace cornerbench::field {

std::vector<ObserverCase> run_observer_trial(const scale::Description& description,
                                             const diagnosis::Priors& priors, const TrialSetting& setting,
                                             const TrialShard& shard,
                                             const std::function<void(int)>& progress,
                                             const IdealSetting& ideal) {
    const int begin = shard.begin(setting.sheets);
    const int end = shard.end(setting.sheets);
    std::vector<ObserverCase> cases;
    cases.reserve(static_cast<std::size_t>(end - begin));
    const auto observe = [&](int i) {
        ObserverCase one;
        one.seed = setting.first_seed + static_cast<std::uint64_t>(i);
        one.diagnosis.seed = one.ideal.seed = one.seed;
        const scale::Fault truth = truth_of(description, priors, setting, one.seed);
        one.diagnosis.truth = one.ideal.truth = truth.cause;
        const SimulatedSheet sheet =
            simulate_sheet(description, {&truth, 1}, one.seed, setting.plan, setting.setting);
        try {
            DiagnosedSheet ranked = rank_causes(description, sheet.sheet(), priors);
            one.diagnosis = outcome_of(one.seed, ranked, truth);
            // The groups stay: what the readings cannot tell apart is the same for both.
            ranked.candidates = ideal_ranking(description, sheet, setting.plan, setting.setting,
                                              ranked.candidates, one.seed, ideal, &truth);
            one.ideal = outcome_of(one.seed, ranked, truth);
        } catch (const std::runtime_error&) {
        }
        return one;
    };
    side_by_side(begin, end, observe, [&](int i, ObserverCase&& one) {
        cases.push_back(std::move(one));
        if (progress) progress(i + 1 - begin);
    });
    return cases;
}

ObserverTrial tally_observer(std::span<const ObserverCase> cases) {
    std::vector<SheetOutcome> diagnosis;
    std::vector<SheetOutcome> ideal;
    for (const ObserverCase& one : cases) {
        diagnosis.push_back(one.diagnosis);
        ideal.push_back(one.ideal);
    }
    return {tally(diagnosis), tally(ideal)};
}

}  // namespace cornerbench::field
