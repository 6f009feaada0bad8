#include "sim/field/check_plan.h"

#include <algorithm>

#include "sim/field/check_values.h"

namespace cornerbench::field {

namespace {

constexpr double least_bits = 0.01;
/// Checks that are asked for what they tell beside others: the best of those by themselves.
constexpr std::size_t most_asked = 20;
/// Numbers that stand for all a first check may read, and for all a second one may.
constexpr int first_points = 6;
constexpr int second_points = 2;

struct Valued {
    std::size_t check = 0;
    double bits = 0.0;
    double minutes = 0.0;
    double worth() const { return bits / minutes; }
};

bool worth_more(const Valued& a, const Valued& b) {
    return a.worth() > b.worth();
}

}  // namespace

CheckPlan plan_checks(const PlanStart& start, int most, int most_further) {
    CheckPlan plan;
    const auto cannot = [&](const diagnosis::Reading& reading) {
        return std::any_of(start.passed_over.begin(), start.passed_over.end(),
                           [&](const diagnosis::Reading& r) { return same_check(r, reading); });
    };
    CheckValues values(start.description, start.sheet, start.about, start.ignored, start.minutes, start.from);
    if (!values.good()) {
        if (start.repeat < 0) return plan;
        const diagnosis::Reading& r = start.sheet.readings[static_cast<std::size_t>(start.repeat)];
        if (!cannot(r))
            plan.next.push_back({r, minutes_of(r, start.from, start.minutes), 0.0, 0.0, start.repeat, {}});
        return plan;
    }
    std::vector<Foreseen> foreseen{values.now()};
    std::vector<Valued> alone;
    for (std::size_t i = 0; i < values.checks().size(); ++i) {
        const PossibleCheck& check = values.checks()[i];
        if (cannot(check.reading)) continue;
        const Valued valued{i, values.bits(i, foreseen.front()), check.minutes};
        const bool asked_for = start.repeat >= 0 && check.repeats == start.repeat;
        if (valued.bits >= least_bits || asked_for) alone.push_back(valued);
    }
    std::stable_sort(alone.begin(), alone.end(), worth_more);
    if (start.repeat >= 0) {
        std::stable_partition(alone.begin(), alone.end(), [&](const Valued& v) {
            return values.checks()[v.check].repeats == start.repeat;
        });
    }
    const auto check_of = [&](const Valued& v) {
        const PossibleCheck& check = values.checks()[v.check];
        return NextCheck{check.reading, v.minutes, v.bits, std::min(v.bits / values.doubt_bits(), 1.0),
                         check.repeats, {}};
    };

    std::vector<Valued> left(alone.begin(),
                             alone.begin() + static_cast<std::ptrdiff_t>(std::min(alone.size(), most_asked)));
    std::vector<std::size_t> chosen;
    Workplace from = start.from;
    while (!left.empty() && static_cast<int>(plan.next.size()) < most) {
        const Valued best = left.front();
        chosen.push_back(best.check);
        plan.next.push_back(check_of(best));
        left.erase(left.begin());
        if (static_cast<int>(plan.next.size()) == most) break;
        from = after(values.checks()[best.check].reading, from);
        std::vector<Foreseen> then;
        for (const Foreseen& f : foreseen) {
            const auto branches =
                values.branches(best.check, f, chosen.size() == 1 ? first_points : second_points);
            then.insert(then.end(), branches.begin(), branches.end());
        }
        foreseen = std::move(then);
        for (Valued& v : left) {
            v.bits = 0.0;
            for (const Foreseen& f : foreseen) v.bits += f.chance * values.bits(v.check, f);
            v.minutes = minutes_of(values.checks()[v.check].reading, from, start.minutes);
        }
        std::erase_if(left, [](const Valued& v) { return v.bits < least_bits; });
        std::stable_sort(left.begin(), left.end(), worth_more);
    }
    const auto outcomes = values.outcomes(chosen, start.all);
    for (std::size_t i = 0; i < chosen.size(); ++i) plan.next[i].outcomes = outcomes[i];
    for (const Valued& v : alone) {
        if (static_cast<int>(plan.further.size()) == most_further) break;
        if (std::find(chosen.begin(), chosen.end(), v.check) == chosen.end())
            plan.further.push_back(check_of(v));
    }
    return plan;
}

}  // namespace cornerbench::field
