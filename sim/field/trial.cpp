#include "sim/field/trial.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "sim/field/fault_draw.h"

namespace cornerbench::field {

namespace {

constexpr std::uint64_t cause_stream = 21;

/// Less than this is as good as not said; keeps one surprise from making the score infinite.
constexpr double least_probability = 1.0e-6;

void tally(const DiagnosedSheet& ranked, const scale::Fault& truth, Trial& trial) {
    const auto& all = ranked.candidates;
    const auto found = std::find_if(all.begin(), all.end(), [&](const diagnosis::Candidate& candidate) {
        return same_cause_and_place(candidate.fault, truth);
    });
    CauseTally& cause = trial.causes[static_cast<unsigned>(scale::index_of(truth.cause))];
    ++cause.drawn;
    double probability = 0.0;
    if (found != all.end()) {
        const auto rank = found - all.begin();
        const bool same_group = found->group >= 0 && found->group == all.front().group;
        probability = found->probability;
        trial.on_top += rank == 0 ? 1 : 0;
        trial.in_top_three += rank < 3 ? 1 : 0;
        trial.in_top_group += rank == 0 || same_group ? 1 : 0;
        cause.on_top += rank == 0 ? 1 : 0;
        cause.in_top_group += rank == 0 || same_group ? 1 : 0;
    }
    if (truth.cause == scale::Cause::healthy && !all.empty() &&
        all.front().fault.cause != scale::Cause::healthy) {
        FalseAlarms& alarms =
            trial.false_alarms[static_cast<unsigned>(scale::index_of(all.front().fault.cause))];
        ++alarms.first;
        alarms.sure += all.front().probability > sure_alarm ? 1 : 0;
    }
    cause.probability += probability;
    trial.log_score -= std::log2(std::max(probability, least_probability));
    for (const diagnosis::Candidate& candidate : all) {
        const double scaled = candidate.probability * reliability_bins;
        const int bin = std::clamp(static_cast<int>(scaled), 0, reliability_bins - 1);
        ReliabilityBin& into = trial.reliability[static_cast<unsigned>(bin)];
        ++into.statements;
        into.stated += candidate.probability;
        into.true_ones += same_cause_and_place(candidate.fault, truth) ? 1 : 0;
    }
}

}  // namespace

FalseAlarms Trial::all_false_alarms() const {
    FalseAlarms all;
    for (const FalseAlarms& each : false_alarms) {
        all.first += each.first;
        all.sure += each.sure;
    }
    return all;
}

bool same_cause_and_place(const scale::Fault& a, const scale::Fault& b) {
    if (a.cause != b.cause || a.site.kind != b.site.kind) return false;
    switch (a.site.kind) {
        case scale::SiteKind::cell:
        case scale::SiteKind::support:
            return a.site.index == b.site.index;
        case scale::SiteKind::cell_pair:
            return std::minmax({a.site.index, a.site.other}) == std::minmax({b.site.index, b.site.other});
        default:
            return true;
    }
}

Trial run_trial(const scale::Description& description, const diagnosis::Priors& priors,
                const TrialSetting& setting, const std::function<void(int)>& progress) {
    Trial trial;
    diagnosis::Priors weights = priors;
    // What is on no list cannot be simulated from one.
    weights[static_cast<unsigned>(scale::index_of(scale::Cause::unlisted))] = 0.0;
    for (int i = 0; i < setting.sheets; ++i) {
        const std::uint64_t seed = setting.first_seed + static_cast<std::uint64_t>(i);
        RandomSource random(seed, cause_stream);
        const scale::Fault truth =
            setting.healthy ? scale::Fault{} : draw_fault(description, weights, random);
        const SimulatedSheet sheet =
            simulate_sheet(description, {&truth, 1}, seed, setting.plan, setting.setting);
        ++trial.sheets;
        try {
            tally(rank_causes(description, sheet.sheet(), priors), truth, trial);
        } catch (const std::runtime_error&) {
            ++trial.failed;
        }
        if (progress) progress(i + 1);
    }
    return trial;
}

}  // namespace cornerbench::field
