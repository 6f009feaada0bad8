#include "sim/training/hint.h"

#include "sim/field/check_plan.h"
#include "sim/field/open_question.h"
#include "sim/field/set_aside.h"

namespace cornerbench::training {

Hint hint_for(const field::VisitSoFar& so_far) {
    Hint hint;
    hint.likeliest = so_far.ranked.candidates.front();
    hint.telling = what_speaks_against(so_far.description, so_far.sheet, so_far.ranked, {});
    hint.enough = field::enough_is_read(so_far, field::VisitSetting{}.sure).has_value();
    if (hint.enough) return hint;
    hint.about = field::open_question(so_far.description, so_far.ranked.candidates);
    const std::vector<int> ignored = field::set_aside(so_far.ranked.outcome);
    const field::CheckPlan plan = field::plan_checks({so_far.description,
                                                      so_far.sheet,
                                                      hint.about,
                                                      so_far.ranked.candidates,
                                                      ignored,
                                                      so_far.minutes,
                                                      so_far.from,
                                                      {}},
                                                     1, 0);
    if (!plan.next.empty()) hint.check = plan.next.front();
    return hint;
}

}  // namespace cornerbench::training
