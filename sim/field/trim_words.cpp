#include "sim/field/trim_words.h"

#include <algorithm>
#include <cmath>

#include "sim/files/mass_unit.h"
#include "sim/files/range.h"

namespace cornerbench::field {

namespace {

using diagnosis::TrimVerdict;
using files::grouped_text;

/// Three significant figures.
std::string short_text(double number) {
    if (number == 0.0 || !std::isfinite(number)) return grouped_text(number);
    const double scale = std::pow(10.0, 2.0 - std::floor(std::log10(std::fabs(number))));
    return grouped_text(std::round(number * scale) / scale);
}

std::string divisions(double kg, const TrimPlan& plan) {
    return grouped_text(std::round(kg / plan.division_kg * 10.0) / 10.0) + " d";
}

std::string percent(double share) {
    return grouped_text(std::round(share * 100.0)) + " %";
}

std::string corner_text(int corner) {
    return "corner " + std::to_string(corner + 1);
}

std::string missing_text(const diagnosis::TrimSolution& s) {
    std::string list;
    int count = 0;
    for (int i = 0; i < s.corner_count; ++i) {
        if (!s.missing[static_cast<std::size_t>(i)]) continue;
        list += (count++ == 0 ? "" : ", ") + std::to_string(i + 1);
    }
    return (count == 1 ? "corner " : "corners ") + list;
}

int corner_at_stop(const diagnosis::TrimSolution& s) {
    for (int i = 0; i < s.corner_count; ++i) {
        if (s.corners[static_cast<std::size_t>(i)].at_stop) return i;
    }
    return -1;
}

std::string out_of_range_outcome(const TrimPlan& plan) {
    const diagnosis::TrimSolution& s = plan.solution;
    std::string list;
    for (int i = 0; i < s.corner_count; ++i) {
        const double beyond = s.corners[static_cast<std::size_t>(i)].beyond_ohm;
        if (beyond <= 0.0) continue;
        list += (list.empty() ? "" : ", ") + corner_text(i) + " by " + short_text(beyond) + " ohm";
    }
    return "out of trim range: " + list + "; with these at their stops " +
           divisions(s.spread_after_kg, plan) + " would remain between the corners";
}

std::string outcome_text(const TrimPlan& plan, const TrimPlanOptions& options) {
    const diagnosis::TrimSolution& s = plan.solution;
    if (plan.refused_as_fault) {
        return "not trimmed: with probability " + percent(plan.fault_probability) + " this is a fault" +
               (options.likeliest_fault.empty() ? "" : ", most likely " + options.likeliest_fault) +
               ", and a trim would hide it";
    }
    switch (s.verdict) {
        case TrimVerdict::solved:
            return "the corners differ by " + divisions(s.spread_before_kg, plan) + " now and by " +
                   divisions(s.spread_after_kg, plan) +
                   " as computed afterwards; what is not known exactly leaves some " +
                   divisions(std::min(s.by_position.expected_kg, s.by_display.expected_kg), plan);
        case TrimVerdict::leave_it:
            return "leave it: the corners differ by " + divisions(s.spread_before_kg, plan) +
                   ", and readings like these differ by " + divisions(s.readings_alone.expected_kg, plan) +
                   " on a scale whose corners are equal";
        case TrimVerdict::missing_corner:
            return "no reading tells what " + missing_text(s) + " weighs";
        case TrimVerdict::readings_disagree:
            return "reading " + std::to_string(s.reading + 1) + " contradicts the others: it is " +
                   short_text(s.reading_score) + " standard deviations off";
        case TrimVerdict::implausible_gain:
            return "the cell at " + corner_text(s.corner) +
                   " gives less than half or more than twice its share: a fault, not trim";
        case TrimVerdict::out_of_range:
            return out_of_range_outcome(plan);
        case TrimVerdict::no_trim:
            return "this box has no trims";
        case TrimVerdict::shunt_without_mixing:
            return "this box trims nothing: a shunt across one signal pair loads the bus common to all cells "
                   "when there are no mixing resistors";
        case TrimVerdict::deck_error:
            return "the deck as described does not carry these loads: supports would lift off";
        case TrimVerdict::not_solvable:
            return "no settings were found: the scale as described and these readings do not fit together";
    }
    return {};
}

std::vector<std::string> advice_for(const TrimPlan& plan) {
    const diagnosis::TrimSolution& s = plan.solution;
    std::vector<std::string> advice;
    if (plan.refused_as_fault) return {"find and mend the fault, read the corners again, then trim"};
    switch (s.verdict) {
        case TrimVerdict::solved:
            if (s.resolution_kg >= plan.division_kg) {
                advice.push_back(
                    "the readings are rounded to the division: read and turn with the display in "
                    "tenths of a division where the indicator has them");
            }
            if (1.2 * s.by_position.expected_kg < s.by_display.expected_kg && plan.trim.turns > 0.0 &&
                !s.digital) {
                advice.push_back(
                    "on this deck a corner's weight hangs on its neighbours' cells as well: count "
                    "the turns, and take the display as a check");
            }
            advice.push_back("afterwards set the span anew: multiply it by " +
                             files::number_text(std::round(s.span_factor * 1.0e6) / 1.0e6));
            break;
        case TrimVerdict::leave_it:
            if (s.resolution_kg > 0.0) {
                advice.push_back("for less, read the corners finer than to " +
                                 divisions(s.resolution_kg, plan) + ", and more than once");
            }
            break;
        case TrimVerdict::missing_corner:
            advice.push_back("put the weight over each corner in turn and read it");
            break;
        case TrimVerdict::readings_disagree:
            advice.push_back("read it again; if it stays, the deck rubs or binds somewhere: diagnose first");
            break;
        case TrimVerdict::implausible_gain:
        case TrimVerdict::deck_error:
        case TrimVerdict::not_solvable:
            advice.push_back("diagnose first");
            break;
        case TrimVerdict::out_of_range: {
            const int weakest = corner_at_stop(s);
            if (weakest >= 0) {
                advice.push_back("all others must come down to " + corner_text(weakest) +
                                 ": if its cell alone is weak, look for a fault there first");
            }
            break;
        }
        case TrimVerdict::shunt_without_mixing:
            advice.push_back(
                "fit equal mixing resistors in both signal leads of every cell, or trim in the "
                "excitation leads");
            break;
        case TrimVerdict::no_trim:
            break;
    }
    return advice;
}

}  // namespace

void describe(TrimPlan& plan, const TrimPlanOptions& options) {
    plan.outcome = outcome_text(plan, options);
    plan.advice = advice_for(plan);
}

}  // namespace cornerbench::field
