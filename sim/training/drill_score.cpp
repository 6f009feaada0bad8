#include "sim/training/drill_score.h"

#include <algorithm>
#include <cmath>

#include "sim/field/open_question.h"
#include "sim/field/possible_checks.h"

namespace cornerbench::training {

using diagnosis::Reading;

namespace {

constexpr double for_cause = 60.0;
constexpr double for_minutes = 25.0;
constexpr double for_steps = 15.0;
constexpr double per_wrong_call = 15.0;
constexpr double per_hint = 5.0;
constexpr double per_needless = 3.0;
/// Somebody who walks up and looks needs as long before the first step.
constexpr double getting_there_minutes = 5.0;

/// Whether `step` could still tell something beside the readings before it.
bool could_tell(const Drill& drill, const diagnosis::Sheet& before, const Reading& step) {
    const DrillSetting& setting = drill.setting();
    const field::DiagnosedSheet ranked = field::rank_causes(drill.description(), before, setting.priors);
    const std::vector<diagnosis::Candidate> about =
        field::open_question(drill.description(), ranked.candidates);
    const std::vector<field::NextCheck> checks =
        field::next_checks(drill.description(), before, about, {}, diagnosis::max_readings, setting.minutes);
    return std::any_of(checks.begin(), checks.end(),
                       [&](const field::NextCheck& c) { return field::same_check(c.reading, step); });
}

}  // namespace

DrillScore score_of(Drill& drill, CallEnd end, const std::function<void(int)>& progress) {
    DrillScore score;
    score.right = end == CallEnd::right || end == CallEnd::as_right_as_can_be;
    score.minutes = drill.minutes();
    score.steps = static_cast<int>(drill.steps().size());
    for (int i = 0; i < score.steps; ++i) {
        diagnosis::Sheet before = drill.sheet();
        before.readings = before.readings.first(static_cast<std::size_t>(drill.complaint_readings() + i));
        if (!could_tell(drill, before, drill.steps()[static_cast<std::size_t>(i)].reading)) {
            score.needless.push_back(i);
        }
        if (progress) progress(i + 1);
    }
    field::VisitSetting visit;
    visit.setting = drill.setting().setting;
    visit.minutes = drill.setting().minutes;
    score.plan = field::visit(drill.description(), drill.setting().priors, drill.hidden(),
                              drill.setting().seed, visit, field::planned_check);
    if (!score.right) return score;
    const double needless = static_cast<double>(score.needless.size());
    double points = for_cause;
    points += for_minutes * std::min(1.0, (score.plan.minutes + getting_there_minutes) /
                                              (score.minutes + getting_there_minutes));
    points += std::max(0.0, for_steps - per_needless * needless);
    points -= per_wrong_call * drill.wrong_calls() + per_hint * drill.hints();
    score.points = static_cast<int>(std::lround(std::clamp(points, 0.0, 100.0)));
    return score;
}

}  // namespace cornerbench::training
