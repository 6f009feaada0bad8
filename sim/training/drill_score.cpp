#include "sim/training/drill_score.h"

#include <algorithm>
#include <cmath>

#include "sim/field/open_question.h"
#include "sim/field/possible_checks.h"
#include "sim/field/ranked_sheet.h"

namespace cornerbench::training {

using diagnosis::Reading;

namespace {

constexpr double for_cause = 60.0;
constexpr double for_guess = 30.0;
constexpr double for_minutes = 25.0;
constexpr double for_steps = 15.0;
constexpr double per_wrong_call = 15.0;
constexpr double per_hint = 5.0;
constexpr double per_needless = 3.0;
/// Somebody who walks up and looks needs as long before the first step.
constexpr double getting_there_minutes = 5.0;

/// Whether `step` could still tell something beside the readings before it.
bool could_tell(const DrillRecord& record, const diagnosis::Sheet& before, const Reading& step) {
    const scale::Description& d = record.description;
    const field::DiagnosedSheet ranked = field::ranked_sheet(d, before, record.setting.priors);
    if (ranked.candidates.empty()) return true;
    const std::vector<diagnosis::Candidate> about = field::open_question(d, ranked.candidates);
    const std::vector<field::NextCheck> checks =
        field::next_checks(d, before, about, {}, diagnosis::max_readings, record.setting.minutes);
    return std::any_of(checks.begin(), checks.end(),
                       [&](const field::NextCheck& c) { return field::same_check(c.reading, step); });
}

}  // namespace

DrillScore score_of(Drill& drill, CallEnd end, const std::function<void(int)>& progress) {
    const DrillRecord record{drill.description(), drill.sheet(),   drill.complaint_readings(),
                             drill.steps(),       drill.minutes(), drill.hidden(),
                             drill.setting(),     drill.hints(),   drill.wrong_calls(),
                             drill.guessed()};
    return score_of(record, is_found(end), progress);
}

DrillScore score_of(const DrillRecord& record, bool right, const std::function<void(int)>& progress) {
    DrillScore score;
    score.right = right;
    score.guessed = right && record.guessed;
    score.minutes = record.minutes;
    score.steps = static_cast<int>(record.steps.size());
    for (int i = 0; i < score.steps; ++i) {
        diagnosis::Sheet before = record.sheet;
        before.readings = before.readings.first(static_cast<std::size_t>(record.complaint_readings + i));
        if (!could_tell(record, before, record.steps[static_cast<std::size_t>(i)].reading))
            score.needless.push_back(i);
        if (progress) progress(i + 1);
    }
    field::VisitSetting visit;
    visit.setting = record.setting.setting;
    visit.minutes = record.setting.minutes;
    score.plan = field::visit(record.description, record.setting.priors, record.hidden, record.setting.seed,
                              visit, field::planned_check);
    if (!score.right) return score;
    const double needless = static_cast<double>(score.needless.size());
    double points = for_guess;
    if (!score.guessed) {
        points = for_cause + std::max(0.0, for_steps - per_needless * needless);
        points += for_minutes * std::min(1.0, (score.plan.minutes + getting_there_minutes) /
                                                  (score.minutes + getting_there_minutes));
    }
    points -= per_wrong_call * record.wrong_calls + per_hint * record.hints;
    score.points = static_cast<int>(std::lround(std::clamp(points, 0.0, 100.0)));
    return score;
}

}  // namespace cornerbench::training
