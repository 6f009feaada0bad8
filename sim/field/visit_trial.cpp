#include "sim/field/visit_trial.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "sim/field/side_by_side.h"
#include "sim/field/textbook_order.h"

namespace cornerbench::field {

namespace {

ChooseCheck by_textbook(const scale::Description& description) {
    return [order = textbook_order(description),
            next = std::size_t{0}](const VisitSoFar&) mutable -> std::optional<diagnosis::Reading> {
        if (next == order.size()) return std::nullopt;
        return order[next++];
    };
}

VisitTally tally_of(std::span<const VisitCase> cases, VisitOutcome VisitCase::*way) {
    VisitTally tally;
    std::vector<double> minutes;
    for (const VisitCase& c : cases) {
        const VisitOutcome& o = c.*way;
        ++tally.visits;
        tally.right += o.right ? 1 : 0;
        tally.sure += o.ended_sure() ? 1 : 0;
        tally.sure_wrong += o.ended_sure() && !o.right ? 1 : 0;
        tally.mean_checks += o.checks;
        minutes.push_back(o.minutes);
    }
    if (tally.visits > 0) tally.mean_checks /= tally.visits;
    tally.minutes = five_numbers(std::move(minutes));
    return tally;
}

}  // namespace

std::vector<VisitCase> run_visits(const scale::Description& description, const diagnosis::Priors& priors,
                                  const TrialSetting& setting, const TrialShard& shard,
                                  const std::function<void(int)>& progress) {
    VisitSetting of_visit;
    of_visit.setting = setting.setting;
    of_visit.minutes = setting.minutes;
    const int begin = shard.begin(setting.sheets);
    const int end = shard.end(setting.sheets);
    std::vector<VisitCase> cases;
    const auto visit_both_ways = [&](int i) {
        VisitCase c;
        c.seed = setting.first_seed + static_cast<std::uint64_t>(i);
        const scale::Fault truth = truth_of(description, priors, setting, c.seed);
        c.truth = truth.cause;
        c.plan = visit(description, priors, {&truth, 1}, c.seed, of_visit, planned_check);
        c.textbook = visit(description, priors, {&truth, 1}, c.seed, of_visit, by_textbook(description));
        return c;
    };
    side_by_side(begin, end, visit_both_ways, [&](int i, VisitCase&& c) {
        cases.push_back(std::move(c));
        if (progress) progress(i + 1 - begin);
    });
    return cases;
}

FiveNumbers five_numbers(std::vector<double> values) {
    FiveNumbers five{};
    if (values.empty()) return five;
    std::sort(values.begin(), values.end());
    for (std::size_t q = 0; q < five.size(); ++q) {
        const double at = static_cast<double>(values.size() - 1) * static_cast<double>(q) / 4.0;
        const auto below = static_cast<std::size_t>(at);
        const std::size_t above = std::min(below + 1, values.size() - 1);
        const double part = at - static_cast<double>(below);
        five[q] = values[below] + part * (values[above] - values[below]);
    }
    return five;
}

double VisitTrial::saved() const {
    return textbook.minutes[2] > 0.0 ? 1.0 - plan.minutes[2] / textbook.minutes[2] : 0.0;
}

VisitTrial tally_visits(std::span<const VisitCase> cases) {
    VisitTrial trial;
    trial.plan = tally_of(cases, &VisitCase::plan);
    trial.textbook = tally_of(cases, &VisitCase::textbook);
    for (int i = 0; i < scale::cause_count; ++i) {
        std::vector<VisitCase> of_cause;
        for (const VisitCase& c : cases) {
            if (scale::index_of(c.truth) == i) of_cause.push_back(c);
        }
        trial.causes[static_cast<std::size_t>(i)] = {static_cast<int>(of_cause.size()),
                                                     tally_of(of_cause, &VisitCase::plan),
                                                     tally_of(of_cause, &VisitCase::textbook)};
    }
    return trial;
}

}  // namespace cornerbench::field
