#include "sim/field/trial_tally.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::field {

namespace {

/// Less than this is as good as not said; keeps one surprise from making the score infinite.
constexpr double least_probability = 1.0e-6;

std::size_t at(scale::Cause cause) {
    return static_cast<std::size_t>(scale::index_of(cause));
}

void add(const SheetOutcome& o, Trial& trial) {
    ++trial.sheets;
    if (!o.answered) {
        ++trial.failed;
        return;
    }
    trial.on_top += o.rank == 0 ? 1 : 0;
    trial.in_top_three += o.rank >= 0 && o.rank < 3 ? 1 : 0;
    trial.in_top_group += o.in_top_group ? 1 : 0;
    trial.log_score -= std::log2(std::max(o.probability, least_probability));
    trial.brier += o.brier;
    CauseTally& cause = trial.causes[at(o.truth)];
    ++cause.drawn;
    cause.on_top += o.rank == 0 ? 1 : 0;
    cause.in_top_group += o.in_top_group ? 1 : 0;
    cause.probability += o.probability;
    const bool fault = o.truth != scale::Cause::healthy;
    trial.faults += fault ? 1 : 0;
    trial.misses += fault && o.first == scale::Cause::healthy ? 1 : 0;
    trial.plain += o.plain ? 1 : 0;
    trial.plain_answers += o.plain && o.in_small_group() ? 1 : 0;
    trial.wild += o.wild ? 1 : 0;
    trial.wild_named += o.wild && o.wild_named ? 1 : 0;
    trial.wild_answers += o.wild && o.wild_named && o.in_top_group ? 1 : 0;
    trial.right_as_read += o.wild && o.right_as_read ? 1 : 0;
    trial.still_right += o.wild && o.right_as_read && o.wild_named && o.in_top_group ? 1 : 0;
    if (o.rank != 0) ++cause.mistaken_for[at(o.first)];
    if (o.truth == scale::Cause::healthy && o.first != scale::Cause::healthy) {
        FalseAlarms& alarms = trial.false_alarms[at(o.first)];
        ++alarms.first;
        alarms.sure += o.first_probability > sure_alarm ? 1 : 0;
    }
    for (std::size_t b = 0; b < o.said.size(); ++b) {
        trial.reliability[b].statements += o.said[b].statements;
        trial.reliability[b].stated += o.said[b].stated;
        trial.reliability[b].true_ones += o.said[b].true_ones;
    }
}

}  // namespace

SheetOutcome outcome_of(std::uint64_t seed, const DiagnosedSheet& ranked, const scale::Fault& truth) {
    SheetOutcome o;
    o.seed = seed;
    o.truth = truth.cause;
    o.answered = !ranked.candidates.empty();
    if (!o.answered) return o;
    const diagnosis::Candidate& top = ranked.candidates.front();
    o.first = top.fault.cause;
    o.first_probability = top.probability;
    if (top.group >= 0) {
        o.group_size = static_cast<int>(ranked.groups[static_cast<std::size_t>(top.group)].members.size());
    }
    int rank = 0;
    o.brier = 1.0;
    for (const diagnosis::Candidate& candidate : ranked.candidates) {
        const double p = candidate.probability;
        const bool is_true = same_cause_and_place(candidate, truth);
        if (is_true && o.rank < 0) {
            o.rank = rank;
            o.probability = p;
            o.in_top_group = rank == 0 || (candidate.group >= 0 && candidate.group == top.group);
        }
        // The truth counts once; where it is not among them, what was missed is the 1 above.
        o.brier += p * p - (is_true ? 2.0 * p : 0.0);
        const int bin = std::clamp(static_cast<int>(p * reliability_bins), 0, reliability_bins - 1);
        ReliabilityBin& into = o.said[static_cast<std::size_t>(bin)];
        ++into.statements;
        into.stated += p;
        into.true_ones += is_true ? 1 : 0;
        ++rank;
    }
    return o;
}

FalseAlarms Trial::all_false_alarms() const {
    FalseAlarms all;
    for (const FalseAlarms& each : false_alarms) {
        all.first += each.first;
        all.sure += each.sure;
    }
    return all;
}

double Trial::calibration_error() const {
    double off = 0.0;
    int statements = 0;
    for (const ReliabilityBin& bin : reliability) {
        off += std::fabs(bin.stated - bin.true_ones);
        statements += bin.statements;
    }
    return statements > 0 ? off / statements : 0.0;
}

Trial tally(std::span<const SheetOutcome> outcomes) {
    Trial trial;
    for (const SheetOutcome& outcome : outcomes) add(outcome, trial);
    return trial;
}

}  // namespace cornerbench::field
