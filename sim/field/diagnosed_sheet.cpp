#include "sim/field/diagnosed_sheet.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>
#include <string>

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
constexpr std::size_t most_about = 16;
constexpr double worth_asking = 2.0e-3;

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

std::vector<diagnosis::Compared> compared(const scale::Description& d, const diagnosis::Sheet& sheet,
                                          const scale::Fault& fault, std::vector<double>& memory) {
    std::vector<diagnosis::Compared> rows(sheet.readings.size());
    const int count = diagnosis::compare(d, sheet, fault, memory, rows);
    rows.resize(static_cast<std::size_t>(count));
    return rows;
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

DiagnosedSheet ranked(const scale::Description& d, const diagnosis::Sheet& sheet,
                      const diagnosis::Priors& priors, std::vector<double>& memory) {
    DiagnosedSheet result;
    result.candidates.resize(static_cast<std::size_t>(diagnosis::candidate_count(d)));
    result.outcome = diagnosis::diagnose(d, sheet, priors, memory, result.candidates);
    if (result.outcome.error != DiagnosisError::none) {
        throw std::runtime_error(words_of(result.outcome.error));
    }
    result.candidates.resize(static_cast<std::size_t>(result.outcome.candidates));
    result.groups.resize(static_cast<std::size_t>(result.outcome.groups));
    for (std::size_t i = 0; i < result.candidates.size(); ++i) {
        const Candidate& c = result.candidates[i];
        if (c.group < 0) continue;
        CauseGroup& group = result.groups[static_cast<std::size_t>(c.group)];
        group.members.push_back(static_cast<int>(i));
        group.probability += c.probability;
    }
    return result;
}

}  // namespace

DiagnosedSheet rank_causes(const scale::Description& d, const diagnosis::Sheet& sheet,
                           const diagnosis::Priors& priors) {
    std::vector<double> memory = working_memory(d, sheet);
    return ranked(d, sheet, priors, memory);
}

DiagnosedSheet diagnose_sheet(const scale::Description& d, const diagnosis::Sheet& sheet,
                              const diagnosis::Priors& priors) {
    std::vector<double> memory = working_memory(d, sheet);
    DiagnosedSheet result = ranked(d, sheet, priors, memory);
    result.if_healthy = compared(d, sheet, scale::Fault{}, memory);
    double healthy_log_density = 0.0;
    for (const Candidate& c : result.candidates) {
        if (c.fault.cause == scale::Cause::healthy) healthy_log_density = c.best_log_density;
    }
    std::set<int> groups_seen;
    for (std::size_t i = 0; i < result.candidates.size(); ++i) {
        const Candidate& c = result.candidates[i];
        const bool a_fault =
            c.fault.cause != scale::Cause::healthy && c.fault.cause != scale::Cause::unlisted;
        const bool first_of_group = c.group < 0 || groups_seen.insert(c.group).second;
        if (!a_fault || !first_of_group) continue;
        if (c.probability < worth_explaining && c.group < 0) continue;
        Comparison comparison{static_cast<int>(i), compared(d, sheet, c.fault, memory)};
        const bool silent = farthest(comparison.rows, result.if_healthy) < like_healthy &&
                            c.best_log_density - healthy_log_density < told_from_healthy;
        if (c.group >= 0) {
            CauseGroup& group = result.groups[static_cast<std::size_t>(c.group)];
            group.like_healthy = silent;
            if (group.probability < worth_explaining) continue;
        }
        if (!silent && result.explained.size() < explained_candidates) {
            result.explained.push_back(std::move(comparison));
        }
    }

    std::vector<int> ignored;
    for (int w = 0; w < result.outcome.wild_count; ++w) ignored.push_back(result.outcome.wild[w].reading);
    std::vector<Candidate> about;
    for (std::size_t i = 0; i < result.candidates.size() && about.size() < most_about; ++i) {
        const Candidate& c = result.candidates[i];
        if (c.fault.cause == scale::Cause::unlisted || c.probability < worth_asking) continue;
        about.push_back(c);
        result.about.push_back(static_cast<int>(i));
    }
    result.next = next_checks(d, sheet, about, ignored, proposed_checks);
    for (CauseGroup& group : result.groups) {
        std::vector<Candidate> members;
        for (const int i : group.members) {
            if (members.size() < most_about)
                members.push_back(result.candidates[static_cast<std::size_t>(i)]);
        }
        group.split_by = next_checks(d, sheet, members, ignored, 1);
    }
    return result;
}

}  // namespace cornerbench::field
