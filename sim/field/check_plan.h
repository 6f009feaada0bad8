#pragma once

#include <span>
#include <vector>

#include "sim/field/next_check.h"

/// Checks in an order that makes sense: each for what it tells once those before it are taken.
namespace cornerbench::field {

/// Checks that are proposed, and others to choose from.
struct CheckPlan {
    std::vector<NextCheck> next;     ///< in this order; bits and minutes are those beside the ones before
    std::vector<NextCheck> further;  ///< for those who cannot take these: each alone, best first, no outcomes
};

/// What a plan starts from.
struct PlanStart {
    const scale::Description& description;
    const diagnosis::Sheet& sheet;
    std::span<const diagnosis::Candidate> about;  ///< to tell apart
    std::span<const diagnosis::Candidate> all;    ///< the whole diagnosis
    std::span<const int> ignored;                 ///< readings of the sheet that disagree with all others
    const CheckMinutes& minutes;
    const Workplace& from;
    std::span<const diagnosis::Reading> passed_over;  ///< checks that nobody can take
    int repeat = -1;  ///< one of `ignored` that is to be read again before anything else; -1 for none
};

/// At most `most` checks with what each outcome would mean.
CheckPlan plan_checks(const PlanStart& start, int most, int most_further);

}  // namespace cornerbench::field
