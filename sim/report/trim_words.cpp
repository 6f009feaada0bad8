#include "sim/report/trim_words.h"

#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/doubt_words.h"
#include "sim/report/finding_words.h"
#include "sim/report/number_words.h"

namespace cornerbench::report {

using diagnosis::TrimSolution;
using diagnosis::TrimVerdict;
using field::TrimOrFault;
using field::TrimPlan;
using field::TrimWay;

namespace {

constexpr std::size_t most_named = 4;
constexpr std::size_t most_checks = 3;
constexpr double least_named = 5.0e-3;

std::string divisions(double kg, const TrimPlan& plan) {
    return grouped(kg / plan.division_kg, 1) + " d";
}

std::string corner_text(int corner) {
    return "corner " + std::to_string(corner + 1);
}

std::string candidate_text(const TrimPage& page, int index) {
    const diagnosis::Candidate& c = page.diagnosed.candidates[static_cast<std::size_t>(index)];
    return cause_words(c, page.scale.description) + " (" + probability_words(c.probability) + ")";
}

/// Under what condition a statement on one cause holds, and what that cause leaves over; or nothing.
std::string reservation(const TrimPage& page) {
    if (!under_reservation(page.diagnosed)) return "";
    return ", if " + condition_words(page.diagnosed) +
           besides_words(page.sheet, page.diagnosed, page.scale.description);
}

/// "rubbing, support 2 (99 %)", or the first few of many with what they make together.
std::string suspects_text(const TrimPage& page) {
    const field::FaultSuspicion& suspicion = page.plan.suspicion;
    const std::size_t count = suspicion.suspects.size();
    std::string text;
    std::size_t named = 0;
    double rest = suspicion.suspects_probability;
    for (; named < std::min(count, most_named); ++named) {
        const diagnosis::Candidate& c =
            page.diagnosed.candidates[static_cast<std::size_t>(suspicion.suspects[named])];
        if (named > 0 && c.probability < least_named) break;
        text += (named > 0 ? "; " : "") + candidate_text(page, suspicion.suspects[named]);
        rest -= c.probability;
    }
    const bool more = named < count && rest > least_named;
    if (named == 1 && !more) return text;
    if (more) text += fmt::format("; and {} less likely ones", count - named);
    return text + "; together " + probability_words(suspicion.suspects_probability);
}

/// What a trim may mend and the suspects look like: the likeliest of their group, else of all.
std::string innocent_text(const TrimPage& page) {
    const std::vector<diagnosis::Candidate>& all = page.diagnosed.candidates;
    const int group = page.plan.suspicion.group;
    int best = -1;
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (!field::a_trims_business(all[i])) continue;
        if (best < 0) best = static_cast<int>(i);
        if (group >= 0 && all[i].group == group) return candidate_text(page, static_cast<int>(i));
    }
    return best < 0 ? "corners that want trimming" : candidate_text(page, best);
}

std::string reading_text(const TrimPage& page, int index) {
    return fmt::format(
        "reading {} ({})", index + 1,
        reading_words(page.sheet.readings[static_cast<std::size_t>(index)], page.scale.description));
}

std::string diagnose_line(const TrimPage& page) {
    return "`cornerbench diagnose " + page.sheet_path + "`";
}

std::string missing_text(const TrimSolution& s) {
    std::string list;
    int count = 0;
    for (int i = 0; i < s.corner_count; ++i) {
        if (!s.missing[static_cast<std::size_t>(i)]) continue;
        list += (count++ == 0 ? "" : ", ") + std::to_string(i + 1);
    }
    return count == 1 ? "corner " + list + " weighs" : "corners " + list + " weigh";
}

int corner_at_stop(const TrimSolution& s) {
    for (int i = 0; i < s.corner_count; ++i) {
        if (s.corners[static_cast<std::size_t>(i)].at_stop) return i;
    }
    return -1;
}

std::string out_of_range_outcome(const TrimPlan& plan) {
    const TrimSolution& s = plan.solution;
    std::string list;
    for (int i = 0; i < s.corner_count; ++i) {
        const double beyond = s.corners[static_cast<std::size_t>(i)].beyond_ohm;
        if (beyond <= 0.0) continue;
        list += (list.empty() ? "" : ", ") + corner_text(i) + " by " + figures(beyond) + " ohm";
    }
    return "out of trim range: " + list + "; with these at their stops " +
           divisions(s.spread_after_kg, plan) + " would remain between the corners";
}

/// Trims that need not be touched, or nothing.
std::string staying_text(const TrimSolution& s) {
    std::string list;
    int count = 0;
    for (int i = 0; i < s.corner_count; ++i) {
        if (!s.corners[static_cast<std::size_t>(i)].stays) continue;
        list += (count++ == 0 ? "" : ", ") + std::to_string(i + 1);
    }
    if (count == 0) return "";
    if (count == 1) return ". The trim at corner " + list + " stays, and the others come to it";
    return ". Corners " + list +
           " agree within what readings like these can tell: their trims stay, and the others come to them";
}

std::string solved_outcome(const TrimPlan& plan) {
    const TrimSolution& s = plan.solution;
    const double left = plan.way() == TrimWay::fitted
                            ? s.by_position.expected_kg
                            : std::min(s.by_position.expected_kg, s.by_display.expected_kg);
    return "the corners differ by " + divisions(s.spread_before_kg, plan) + " now and by " +
           divisions(s.spread_after_kg, plan) +
           " as computed afterwards; what is not known exactly leaves some " + divisions(left, plan) +
           staying_text(s);
}

std::string solver_outcome(const TrimPage& page) {
    const TrimPlan& plan = page.plan;
    const TrimSolution& s = plan.solution;
    switch (s.verdict) {
        case TrimVerdict::solved:
            return solved_outcome(plan);
        case TrimVerdict::leave_it:
            return "leave it: the corners differ by " + divisions(s.spread_before_kg, plan) +
                   ", and readings like these differ by " + divisions(s.readings_alone.expected_kg, plan) +
                   " on a scale whose corners are equal";
        case TrimVerdict::missing_corner:
            return "no reading tells what " + missing_text(s);
        case TrimVerdict::readings_disagree:
            return reading_text(page, s.reading) + " contradicts the others: it departs by " +
                   figures(s.reading_score) + " standard uncertainties from what they let expect";
        case TrimVerdict::implausible_gain:
            return plan.in_spite_of_fault
                       ? "no settings exist: the cell at " + corner_text(s.corner) +
                             " gives next to nothing or counts backwards, and no trim makes that good"
                       : "the cell at " + corner_text(s.corner) +
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

/// What the diagnosis says to a sheet against which it holds nothing, or which it cannot decide.
std::vector<std::string> before_trimming(const TrimPage& page) {
    const TrimPlan& plan = page.plan;
    std::vector<std::string> before;
    for (const int index : plan.set_aside) {
        before.push_back(reading_text(page, index) +
                         " was set aside, as in the diagnosis: it contradicts all others. Take it again");
    }
    if (plan.uncertainty_factor > 1.0) {
        before.push_back(
            fmt::format("the readings contradict each other: they were made to agree by taking "
                        "their uncertainties {} times as large, and every +/- with them",
                        figures(plan.uncertainty_factor, 2)));
    }
    if (plan.refused_as_fault) return before;
    switch (plan.suspicion.verdict) {
        case TrimOrFault::trim:
            break;
        case TrimOrFault::unexplained:
            before.push_back(
                "no single cause explains these readings: several trims off at once, several "
                "faults, or a wrong scale file. Settings are right in the first case alone; see " +
                diagnose_line(page));
            break;
        case TrimOrFault::undecided: {
            before.push_back("these readings cannot tell " + innocent_text(page) +
                             " from a fault, which a trim would hide: " + suspects_text(page) + ". See " +
                             diagnose_line(page));
            std::string checks;
            for (const field::NextCheck* check : telling_checks(page)) {
                checks += (checks.empty() ? "" : "; ") + check_words(check->reading, page.scale.description) +
                          " (about " + figures(check->minutes, 2) + " min)";
            }
            if (!checks.empty()) before.push_back("what would tell them apart: " + checks);
            break;
        }
        case TrimOrFault::fault:
            before.push_back(
                "computed in spite of a fault, which these settings would hide and after whose "
                "repair they are wrong: " +
                suspects_text(page) + reservation(page) + ". See " + diagnose_line(page));
            break;
    }
    return before;
}

std::vector<std::string> advice_against_fault(const TrimPage& page) {
    std::vector<std::string> advice;
    advice.push_back(diagnose_line(page) + " shows the reasons and what to read next");
    const std::vector<const field::NextCheck*> checks = telling_checks(page);
    if (page.plan.suspicion.suspects.size() > 1 && page.plan.suspicion.group >= 0 && !checks.empty()) {
        advice.push_back(fmt::format("these would be told apart by: {} (about {} min)",
                                     check_words(checks.front()->reading, page.scale.description),
                                     figures(checks.front()->minutes, 2)));
    }
    const TrimVerdict verdict = page.plan.solution.verdict;
    if (verdict == TrimVerdict::no_trim || verdict == TrimVerdict::shunt_without_mixing) {
        advice.push_back("besides, " + solver_outcome(page));
        return advice;
    }
    advice.push_back("find and mend the fault, read the corners again, then trim");
    if (verdict == TrimVerdict::solved || verdict == TrimVerdict::out_of_range ||
        verdict == TrimVerdict::readings_disagree) {
        advice.push_back("--in-spite-of-fault computes settings all the same");
    }
    return advice;
}

std::vector<std::string> advice_for(const TrimPage& page) {
    const TrimPlan& plan = page.plan;
    const TrimSolution& s = plan.solution;
    if (plan.refused_as_fault) return advice_against_fault(page);
    std::vector<std::string> advice;
    switch (s.verdict) {
        case TrimVerdict::solved:
            if (shows_whole_divisions(plan)) {
                advice.push_back(
                    "the readings are rounded to the division: read and set with the display in "
                    "tenths of a division where the indicator has them");
            }
            if (plan.way() == TrimWay::turned && 1.2 * s.by_position.expected_kg < s.by_display.expected_kg) {
                advice.push_back(
                    "on this deck a corner's weight hangs on its neighbours' cells as well: count "
                    "the turns, and take the display as a check");
            }
            if (std::any_of(s.corners.begin(), s.corners.begin() + s.corner_count,
                            [](const diagnosis::CornerTrim& corner) { return corner.stays; })) {
                advice.push_back(
                    "--even-if-fine computes all settings anew, each trim as near to its lossless end "
                    "as the weakest corner lets it be");
            }
            advice.push_back(
                fmt::format("afterwards set the span anew: multiply it by {:.6f}", s.span_factor));
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
            advice.push_back("read it again; if it stays, the deck rubs or binds somewhere: see " +
                             diagnose_line(page));
            break;
        case TrimVerdict::implausible_gain:
        case TrimVerdict::deck_error:
        case TrimVerdict::not_solvable:
            advice.push_back("see " + diagnose_line(page) + " first");
            break;
        case TrimVerdict::out_of_range:
            if (const int weakest = corner_at_stop(s); weakest >= 0) {
                advice.push_back("all others must come down to " + corner_text(weakest) +
                                 ": if its cell alone is weak, look for a fault there first");
            }
            break;
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

double small_weights_kg(const diagnosis::Display& display, double division_kg) {
    const double tenth = 0.1 * division_kg;
    return tenth * std::round((display.rounded_kg + 0.5 * division_kg - display.kg) / tenth) + 0.0;
}

bool shows_whole_divisions(const TrimPlan& plan) {
    return plan.solution.resolution_kg >= plan.division_kg;
}

std::vector<const field::NextCheck*> telling_checks(const TrimPage& page) {
    std::vector<const field::NextCheck*> checks;
    const auto add = [&](const field::NextCheck& check) {
        const std::string words = check_words(check.reading, page.scale.description);
        const bool known = std::any_of(checks.begin(), checks.end(), [&](const field::NextCheck* other) {
            return check_words(other->reading, page.scale.description) == words;
        });
        if (!known && checks.size() < most_checks) checks.push_back(&check);
    };
    const int group = page.plan.suspicion.group;
    if (group >= 0) {
        for (const field::NextCheck& check :
             page.diagnosed.groups[static_cast<std::size_t>(group)].split_by) {
            add(check);
        }
    }
    for (const field::NextCheck& check : page.diagnosed.next) add(check);
    return checks;
}

TrimWords trim_words(const TrimPage& page) {
    TrimWords words;
    words.outcome = page.plan.refused_as_fault
                        ? "not trimmed: these readings speak of a fault, which a trim would only hide: " +
                              suspects_text(page) + reservation(page)
                        : solver_outcome(page);
    words.before = before_trimming(page);
    words.advice = advice_for(page);
    return words;
}

}  // namespace cornerbench::report
