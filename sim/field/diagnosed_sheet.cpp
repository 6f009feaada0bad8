#include "sim/field/diagnosed_sheet.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>
#include <string>

#include "firmware/diagnosis/load_history.h"
#include "firmware/diagnosis/rows.h"
#include "firmware/diagnosis/two_faults.h"
#include "sim/field/check_plan.h"
#include "sim/field/comparing.h"
#include "sim/field/open_question.h"
#include "sim/field/possible_checks.h"
#include "sim/field/ranked_sheet.h"
#include "sim/field/set_aside.h"

namespace cornerbench::field {

using diagnosis::Candidate;
using diagnosis::DiagnosisError;

namespace {

constexpr std::size_t explained_candidates = 2;
/// A fault whose predictions stay this near to a healthy scale's, in standard uncertainties, is silent here.
constexpr double like_healthy = 1.0;
/// Nor may it fit the readings better than a healthy scale by more than this, in log density.
constexpr double told_from_healthy = 2.0;
constexpr double worth_explaining = 0.05;
constexpr int proposed_checks = 3;
/// Enough for somebody who cannot take the first ones.
constexpr int listed_checks = 40;
constexpr std::size_t most_about = 16;
/// A sum of squares of as many normals as readings (mean n, variance 2 n) lies this many of its standard
/// deviations too high.
constexpr double bad_fit = 5.0;
/// Standard uncertainties of their difference beyond which two readings of one thing contradict each other.
constexpr double contradicting = 6.0;

const char* words_of(DiagnosisError error) {
    switch (error) {
        case DiagnosisError::memory:
            return "the diagnosis ran out of its memory";
        case DiagnosisError::too_many:
            return "a sheet holds at most 256 readings";
        case DiagnosisError::deck:
            return "the deck of the sound scale does not stand on its supports";
        case DiagnosisError::not_positive:
            return "an uncertainty is zero or not a number";
        case DiagnosisError::none:
            break;
    }
    return "";
}

std::vector<double> working_memory(const scale::Description& d, const diagnosis::Sheet& sheet) {
    return std::vector<double>(diagnosis::diagnosis_doubles(d, sheet));
}

bool same_thing(const diagnosis::Reading& a, const diagnosis::Reading& b) {
    using diagnosis::Quantity;
    if (a.quantity != b.quantity || a.quantity == Quantity::inspection || a.direction != b.direction) {
        return false;
    }
    return diagnosis::same_load(a.load, b.load) && a.cell == b.cell && a.connected == b.connected &&
           a.between_a == b.between_a && a.between_b == b.between_b && a.place == b.place &&
           a.is_ratio == b.is_ratio && a.lifted_excitation_V == b.lifted_excitation_V;
}

/// Readings of one thing that differ by more than all that `with` holds uncertain of them: over a dead cell a
/// few centimetres move a weight by divisions.
std::vector<Contradiction> contradictions_in(const scale::Description& d, const diagnosis::Sheet& sheet,
                                             const Comparison& with) {
    const diagnosis::Rows rows = diagnosis::rows_of(sheet, d, {});
    const auto variance = [&](int reading) {
        for (std::size_t i = 0; i < static_cast<std::size_t>(rows.measured); ++i) {
            if (rows.row[i].reading == reading) return rows.row[i].variance;
        }
        return 0.0;
    };
    std::vector<Contradiction> found;
    for (std::size_t i = 0; i < with.rows.size(); ++i) {
        for (std::size_t j = i + 1; j < with.rows.size(); ++j) {
            const diagnosis::Compared& a = with.rows[i];
            const diagnosis::Compared& b = with.rows[j];
            if (!same_thing(sheet.readings[static_cast<std::size_t>(a.reading)],
                            sheet.readings[static_cast<std::size_t>(b.reading)])) {
                continue;
            }
            const double off = (a.value - a.predicted) - (b.value - b.predicted);
            if (std::fabs(off) < contradicting * std::hypot(a.uncertainty, b.uncertainty)) continue;
            const double own = std::sqrt(variance(a.reading) + variance(b.reading));
            found.push_back({a.reading, b.reading, std::fabs(off) / own});
        }
    }
    return found;
}

/// Largest difference between two predictions, in standard uncertainties of the surer one: a fault that makes
/// a reading uncertain (a loose signal terminal does so to zero) is not silent for that.
double farthest(const std::vector<diagnosis::Compared>& a, const std::vector<diagnosis::Compared>& b) {
    double most = 0.0;
    for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
        most = std::max(
            most, std::fabs(a[i].predicted - b[i].predicted) / std::min(a[i].uncertainty, b[i].uncertainty));
    }
    return most;
}

/// The reading that is to be taken again before more is read, as long as nobody has: one that was set aside,
/// or where no cause explains the readings the one furthest off, or what the answer leaves over; -1 for none.
int doubtful_reading(const diagnosis::Sheet& sheet, const DiagnosedSheet& found) {
    constexpr double far_off = 3.0;
    int reading = -1;
    if (found.outcome.wild_count > 0) {
        reading = found.outcome.wild[0].reading;
    } else if (found.candidates.front().fault.cause == scale::Cause::unlisted) {
        double most = far_off;
        for (const diagnosis::Compared& row : found.answer.rows) {
            const double off = std::fabs(row.value - row.predicted) / row.uncertainty;
            if (off <= most) continue;
            most = off;
            reading = row.reading;
        }
    } else if (!found.left_over.empty()) {
        reading = found.answer.rows[static_cast<std::size_t>(found.left_over.front())].reading;
    }
    if (reading < 0) return -1;
    const diagnosis::Reading& doubted = sheet.readings[static_cast<std::size_t>(reading)];
    const auto times = std::count_if(sheet.readings.begin(), sheet.readings.end(),
                                     [&](const diagnosis::Reading& r) { return same_check(r, doubted); });
    return times > 1 ? -1 : reading;
}

DiagnosedSheet ranked_or_thrown(const scale::Description& d, const diagnosis::Sheet& sheet,
                                const diagnosis::Priors& priors, std::vector<double>& memory) {
    DiagnosedSheet result = ranked_sheet(d, sheet, priors, memory);
    if (result.outcome.error != DiagnosisError::none)
        throw std::runtime_error(words_of(result.outcome.error));
    return result;
}

}  // namespace

bool DiagnosedSheet::fits_no_cause() const {
    const double rows = outcome.measured;
    return rows > 0.0 && outcome.misfit > rows + bad_fit * std::sqrt(2.0 * rows);
}

DiagnosedSheet rank_causes(const scale::Description& d, const diagnosis::Sheet& sheet,
                           const diagnosis::Priors& priors) {
    std::vector<double> memory = working_memory(d, sheet);
    return ranked_or_thrown(d, sheet, priors, memory);
}

DiagnosedSheet diagnose_sheet(const scale::Description& d, const diagnosis::Sheet& sheet,
                              const diagnosis::Priors& priors, const CheckMinutes& minutes,
                              const Workplace& from, std::span<const diagnosis::Reading> passed_over) {
    std::vector<double> memory = working_memory(d, sheet);
    DiagnosedSheet result = ranked_or_thrown(d, sheet, priors, memory);
    const Comparing comparing(d, sheet, result.outcome, memory);
    result.if_healthy = comparing.with_healthy();
    double healthy_log_density = 0.0;
    double healthy_probability = 0.0;
    for (const Candidate& c : result.candidates) {
        if (c.fault.cause != scale::Cause::healthy) continue;
        healthy_log_density = c.best_log_density;
        healthy_probability = c.probability;
    }
    std::set<int> groups_seen;
    for (std::size_t i = 0; i < result.candidates.size(); ++i) {
        const Candidate& c = result.candidates[i];
        const bool a_fault =
            c.fault.cause != scale::Cause::healthy && c.fault.cause != scale::Cause::unlisted;
        if (!a_fault) continue;
        const int at = static_cast<int>(i);
        const bool first_of_group = c.group < 0 || groups_seen.insert(c.group).second;
        if (!first_of_group || (c.probability < worth_explaining && c.group < 0)) continue;
        Comparison comparison = comparing.with(at, c);
        const bool silent = farthest(comparison.rows, result.if_healthy.rows) < like_healthy &&
                            c.best_log_density - healthy_log_density < told_from_healthy;
        double probability = c.probability;
        if (c.group >= 0) {
            CauseGroup& group = result.groups[static_cast<std::size_t>(c.group)];
            group.like_healthy = silent;
            if (group.probability > healthy_probability) probability = group.probability;
        }
        if (!silent && probability >= worth_explaining && result.explained.size() < explained_candidates) {
            comparing.find_widened(result.if_healthy, c, comparison);
            result.explained.push_back(std::move(comparison));
        }
    }
    const Candidate& first = result.candidates.front();
    if (first.fault.cause == scale::Cause::unlisted) {
        const int nearest = comparing.nearest_of(result.candidates);
        if (nearest >= 0) {
            result.nearest = comparing.with(nearest, result.candidates[static_cast<std::size_t>(nearest)]);
        }
        result.answer = result.nearest ? *result.nearest : result.if_healthy;
    } else {
        result.answer = comparing.with(0, first);
    }
    result.unexpected = unexpected_in(sheet, result);
    result.left_over = left_over_in(result);
    const Comparison& best = !result.explained.empty() ? result.explained.front()
                             : result.nearest          ? *result.nearest
                                                       : result.if_healthy;
    result.contradictions = contradictions_in(d, sheet, best);

    std::vector<int> ignored = set_aside(result.outcome);
    const int doubtful = doubtful_reading(sheet, result);
    if (doubtful >= 0 && ignored.empty()) ignored.push_back(doubtful);
    const std::vector<Candidate> about = open_question(d, result.candidates);
    CheckPlan plan =
        plan_checks({d, sheet, about, result.candidates, ignored, minutes, from, passed_over, doubtful},
                    proposed_checks, listed_checks);
    result.next = std::move(plan.next);
    result.further = std::move(plan.further);
    result.next_about = about;
    for (CauseGroup& group : result.groups) {
        std::vector<Candidate> members;
        for (const int i : group.members) {
            if (members.size() < most_about)
                members.push_back(result.candidates[static_cast<std::size_t>(i)]);
        }
        group.split_by = next_checks(d, sheet, members, ignored, 1, minutes, from);
    }
    return result;
}

}  // namespace cornerbench::field
