#include "sim/field/trial.h"

#include <optional>
#include <stdexcept>

#include "sim/field/fault_draw.h"
#include "sim/field/fault_effect.h"
#include "sim/field/mistyped_value.h"
#include "sim/field/side_by_side.h"

namespace cornerbench::field {

namespace {

constexpr std::uint64_t cause_stream = 21;

bool sets_aside(const DiagnosedSheet& ranked, int reading) {
    for (int w = 0; w < ranked.outcome.wild_count; ++w) {
        if (ranked.outcome.wild[static_cast<std::size_t>(w)].reading == reading) return true;
    }
    return false;
}

int boundary(int sheets, int parts_before, int parts) {
    return static_cast<int>(static_cast<std::int64_t>(sheets) * parts_before / parts);
}

}  // namespace

int TrialShard::begin(int sheets) const {
    return boundary(sheets, number - 1, parts);
}

int TrialShard::end(int sheets) const {
    return boundary(sheets, number, parts);
}

scale::Fault truth_of(const scale::Description& description, const diagnosis::Priors& priors,
                      const TrialSetting& setting, std::uint64_t seed) {
    if (setting.healthy) return {};
    diagnosis::Priors weights = priors;
    // What is on no list cannot be simulated from one.
    weights[static_cast<unsigned>(scale::index_of(scale::Cause::unlisted))] = 0.0;
    RandomSource random(seed, cause_stream);
    return draw_fault(description, weights, random);
}

std::vector<SheetOutcome> run_trial(const scale::Description& description, const diagnosis::Priors& priors,
                                    const TrialSetting& setting, const TrialShard& shard,
                                    const std::function<void(int)>& progress) {
    const int begin = shard.begin(setting.sheets);
    const int end = shard.end(setting.sheets);
    std::vector<SheetOutcome> outcomes;
    outcomes.reserve(static_cast<std::size_t>(end - begin));
    const auto spend = [&](int i) {
        const std::uint64_t seed = setting.first_seed + static_cast<std::uint64_t>(i);
        const scale::Fault truth = truth_of(description, priors, setting, seed);
        SimulatedSheet sheet = simulate_sheet(description, {&truth, 1}, seed, setting.plan, setting.setting);
        SheetOutcome outcome;
        try {
            std::optional<int> mistyped;
            bool right_as_read = false;
            if (setting.wild) {
                right_as_read =
                    outcome_of(seed, rank_causes(description, sheet.sheet(), priors), truth).in_top_group;
                mistyped = mistype_one(description, sheet.sheet(), seed, sheet.readings);
            }
            const DiagnosedSheet ranked = rank_causes(description, sheet.sheet(), priors);
            outcome = outcome_of(seed, ranked, truth);
            outcome.wild = mistyped.has_value();
            outcome.wild_named = mistyped && sets_aside(ranked, *mistyped);
            outcome.right_as_read = mistyped && right_as_read;
            outcome.plain = truth.cause != scale::Cause::healthy &&
                            largest_effect(description, truth, seed, setting.setting) > plain_effect;
        } catch (const std::runtime_error&) {
            outcome.seed = seed;
            outcome.truth = truth.cause;
        }
        return outcome;
    };
    side_by_side(begin, end, spend, [&](int i, const SheetOutcome& outcome) {
        outcomes.push_back(outcome);
        if (progress) progress(i + 1 - begin);
    });
    return outcomes;
}

}  // namespace cornerbench::field
