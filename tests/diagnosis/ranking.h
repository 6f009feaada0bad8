#pragma once

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "firmware/diagnosis/two_faults.h"
#include "sim/field/simulated_sheet.h"

/// A sheet diagnosed in memory of its own, and what tests ask of the answer.
namespace cornerbench::oracle {

/// Variants and magnitudes do not count.
inline bool same_cause_and_place(const scale::Fault& a, const scale::Fault& b) {
    return a.cause == b.cause && a.site == b.site;
}

struct Ranking {
    diagnosis::Outcome outcome;
    std::vector<diagnosis::Candidate> candidates;
    std::vector<diagnosis::Candidate> pairs;  ///< of `rank_with_pairs`

    const diagnosis::Candidate& first() const { return candidates.front(); }

    const diagnosis::Candidate* find(const scale::Fault& fault) const {
        for (const diagnosis::Candidate& c : candidates) {
            if (same_cause_and_place(c.fault, fault)) return &c;
        }
        return nullptr;
    }
    double probability(const scale::Fault& fault) const {
        const diagnosis::Candidate* c = find(fault);
        return c != nullptr ? c->probability : 0.0;
    }
    /// Of a cause wherever it sits.
    double probability(scale::Cause cause) const {
        double sum = 0.0;
        for (const diagnosis::Candidate& c : candidates) sum += c.fault.cause == cause ? c.probability : 0.0;
        return sum;
    }
    /// Of the fault and of all that the readings cannot tell from it.
    double group_probability(const scale::Fault& fault) const {
        const diagnosis::Candidate* of = find(fault);
        if (of == nullptr || of->group < 0) return probability(fault);
        double sum = 0.0;
        for (const diagnosis::Candidate& c : candidates) sum += c.group == of->group ? c.probability : 0.0;
        return sum;
    }
    bool same_group(const scale::Fault& a, const scale::Fault& b) const {
        const diagnosis::Candidate* at_a = find(a);
        const diagnosis::Candidate* at_b = find(b);
        return at_a != nullptr && at_b != nullptr && at_a->group >= 0 && at_a->group == at_b->group;
    }
    bool leads(const scale::Fault& fault) const {
        return same_cause_and_place(first().fault, fault) || same_group(first().fault, fault);
    }
    double sum() const {
        double all = 0.0;
        for (const diagnosis::Candidate& c : candidates) all += c.probability;
        return all + pairs_probability();
    }
    double pairs_probability() const {
        double all = 0.0;
        for (const diagnosis::Candidate& c : pairs) all += c.probability;
        return all;
    }
    /// Place of both faults together among the pairs, in either order; -1 when they are not there.
    int place_of_pair(const scale::Fault& a, const scale::Fault& b) const {
        for (std::size_t i = 0; i < pairs.size(); ++i) {
            const diagnosis::Candidate& c = pairs[i];
            if ((same_cause_and_place(c.fault, a) && same_cause_and_place(c.also, b)) ||
                (same_cause_and_place(c.fault, b) && same_cause_and_place(c.also, a))) {
                return static_cast<int>(i);
            }
        }
        return -1;
    }
    bool names_wild(int reading) const {
        for (int i = 0; i < outcome.wild_count; ++i) {
            if (outcome.wild[static_cast<unsigned>(i)].reading == reading) return true;
        }
        return false;
    }
    /// The leading candidates in words, for messages.
    std::string leaders(std::size_t count = 6) const {
        std::string text;
        for (std::size_t i = 0; i < std::min(candidates.size(), count); ++i) {
            const diagnosis::Candidate& c = candidates[i];
            text += std::string(scale::name_of(c.fault.cause)) + " at " + std::to_string(c.fault.site.index) +
                    "/" + std::to_string(c.fault.site.other) + " p " + std::to_string(c.probability) +
                    " group " + std::to_string(c.group) + " fit " + std::to_string(c.best_log_density) + "; ";
        }
        return text;
    }
};

inline Ranking rank(const scale::Description& d, const diagnosis::Sheet& sheet,
                    const diagnosis::Priors& priors) {
    Ranking r;
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    r.candidates.resize(static_cast<std::size_t>(diagnosis::candidate_count(d)));
    r.outcome = diagnosis::diagnose(d, sheet, priors, memory, r.candidates);
    r.candidates.resize(static_cast<std::size_t>(r.outcome.candidates));
    return r;
}

/// The same, and two causes at once where no single one explains the readings.
inline Ranking rank_with_pairs(const scale::Description& d, const diagnosis::Sheet& sheet) {
    Ranking r = rank(d, sheet, diagnosis::default_priors(d));
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    r.pairs.resize(diagnosis::max_pairs);
    const int found = diagnosis::diagnose_pairs(d, sheet, r.outcome, memory, r.candidates, r.pairs);
    r.pairs.resize(static_cast<std::size_t>(found));
    return r;
}

inline Ranking rank(const scale::Description& d, const diagnosis::Sheet& sheet) {
    return rank(d, sheet, diagnosis::default_priors(d));
}

inline Ranking rank(const scale::Description& d, const std::vector<diagnosis::Reading>& readings,
                    diagnosis::History history = diagnosis::History::calibrated,
                    diagnosis::Zeroed zeroed = diagnosis::Zeroed::before) {
    return rank(d, diagnosis::Sheet{readings, {}, zeroed, history});
}

/// What `fault` makes a technician read, each reading exact.
inline field::SimulatedSheet exact_sheet(const scale::Description& d, const scale::Fault& fault,
                                         const field::SheetPlan& plan = {}) {
    field::SheetSetting setting;
    setting.noisy = false;
    setting.scatter = field::no_scatter;
    return field::simulate_sheet(d, {&fault, 1}, 1, plan, setting);
}

/// Corner weights and nothing else.
inline field::SheetPlan corners_alone() {
    field::SheetPlan plan;
    plan.excitation = plan.sections = plan.returned = plan.channels = false;
    plan.input_output = plan.insulation = plan.empty_signals = plan.loaded_signals = false;
    return plan;
}

/// Weights of every kind, no wire lifted.
inline field::SheetPlan weights_alone() {
    field::SheetPlan plan = corners_alone();
    plan.sections = plan.returned = true;
    return plan;
}

inline scale::Fault fault_at(scale::Cause cause, int index = 0, double magnitude = 0.0, double second = 0.0) {
    scale::Fault fault;
    fault.cause = cause;
    fault.magnitude = {magnitude, second};
    switch (cause) {
        case scale::Cause::healthy:
        case scale::Cause::unlisted:
        case scale::Cause::sense_open:
        case scale::Cause::excitation_low:
        case scale::Cause::home_run_loose:
            break;
        case scale::Cause::rubbing:
        case scale::Cause::bound_support:
        case scale::Cause::unseated_support:
        case scale::Cause::settled_footing:
            fault.site = {scale::SiteKind::support, index, 0};
            break;
        default:
            fault.site = {scale::SiteKind::cell, index, 0};
            break;
    }
    return fault;
}

inline scale::Fault wire_fault(scale::Cause cause, int cell, scale::Wire a, double magnitude = 0.0,
                               scale::Wire b = scale::Wire::excitation_plus) {
    scale::Fault fault = fault_at(cause, cell, magnitude);
    fault.variant.a = a;
    fault.variant.b = b;
    return fault;
}

}  // namespace cornerbench::oracle
