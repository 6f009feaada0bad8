#include "sim/training/call_verdict.h"

#include <algorithm>

#include "sim/field/cause_and_place.h"
#include "sim/field/set_aside.h"

namespace cornerbench::training {

using diagnosis::Candidate;
using scale::Fault;

namespace {

/// Probability from which on readings bear a word out.
constexpr double as_likely_as_not = 0.5;

Candidate as_candidate(std::span<const Fault> faults) {
    Candidate c;
    if (!faults.empty()) c.fault = faults[0];
    if (faults.size() > 1) c.also = faults[1];
    return c;
}

/// The ranked candidate that says these faults, with its best fit; nothing when none does.
const Candidate* find(const field::DiagnosedSheet& ranked, std::span<const Fault> faults) {
    const Candidate wanted = as_candidate(faults);
    for (const Candidate& c : ranked.candidates) {
        if (field::same_cause_and_place(c, wanted)) return &c;
    }
    return nullptr;
}

/// Whether `c` says what was named, at least as far as it goes.
bool goes_with(const Candidate& c, const Candidate* called, std::span<const Fault> named) {
    if (called != nullptr && (&c == called || (c.group >= 0 && c.group == called->group))) return true;
    const auto has = [&c](const Fault& fault) {
        return field::same_cause_and_place(c.fault, fault) || field::same_cause_and_place(c.also, fault);
    };
    return named.size() > 1 && std::any_of(named.begin(), named.end(), has);
}

void find_missing(const CallPlace& at, const field::DiagnosedSheet& ranked, const Candidate& called,
                  const Candidate& truth, CallVerdict& verdict) {
    verdict.missing_about = {called, truth};
    for (Candidate& c : verdict.missing_about) c.probability = 0.5;
    const std::vector<field::NextCheck> next =
        field::next_checks(at.description, at.sheet, verdict.missing_about, field::set_aside(ranked.outcome),
                           1, at.minutes, at.from);
    if (!next.empty()) verdict.missing = next.front();
}

void explain_wrong(const CallPlace& at, const field::DiagnosedSheet& ranked, std::span<const Fault> named,
                   CallVerdict& verdict) {
    const Candidate* called = find(ranked, named);
    const Candidate by = called != nullptr ? *called : as_candidate(named);
    verdict.against = what_speaks_against(at.description, at.sheet, ranked, by);
    const Candidate* truth = find(ranked, at.hidden);
    if (!verdict.against && truth != nullptr) find_missing(at, ranked, by, *truth, verdict);
}

/// Of a word that is right.
void look_for_guess(const CallPlace& at, const field::DiagnosedSheet& ranked, std::span<const Fault> named,
                    CallVerdict& verdict) {
    verdict.guessed = is_guess(ranked, named);
    if (!verdict.guessed) return;
    const Candidate* called = find(ranked, named);
    for (const Candidate& c : ranked.candidates) {
        if (goes_with(c, called, named)) continue;
        find_missing(at, ranked, called != nullptr ? *called : as_candidate(named), c, verdict);
        return;
    }
}

}  // namespace

bool is_guess(const field::DiagnosedSheet& ranked, std::span<const Fault> named) {
    const Candidate* called = find(ranked, named);
    double borne_out = 0.0;
    for (const Candidate& c : ranked.candidates) {
        if (goes_with(c, called, named)) borne_out += c.probability;
    }
    return !ranked.candidates.empty() && borne_out < as_likely_as_not;
}

CallVerdict verdict_of(const CallPlace& at, std::span<const Fault> named,
                       const std::function<const field::DiagnosedSheet&()>& ranking) {
    CallVerdict verdict;
    if (field::same_cause_and_place(as_candidate(named), as_candidate(at.hidden))) {
        verdict.end = CallEnd::right;
        look_for_guess(at, ranking(), named, verdict);
        return verdict;
    }
    for (const Fault& a : named) {
        for (const Fault& b : at.hidden) {
            if (at.hidden.size() > 1 && field::same_cause_and_place(a, b)) verdict.end = CallEnd::one_of_two;
        }
    }
    const field::DiagnosedSheet& ranked = ranking();
    const Candidate* called = find(ranked, named);
    const Candidate* truth = find(ranked, at.hidden);
    if (called != nullptr && truth != nullptr && called->group >= 0 && called->group == truth->group) {
        find_missing(at, ranked, *called, *truth, verdict);
        verdict.end = verdict.missing ? CallEnd::too_early : CallEnd::as_right_as_can_be;
        if (verdict.end == CallEnd::as_right_as_can_be) look_for_guess(at, ranked, named, verdict);
        return verdict;
    }
    const bool answered = !ranked.candidates.empty();
    if (verdict.end == CallEnd::wrong && answered) explain_wrong(at, ranked, named, verdict);
    return verdict;
}

}  // namespace cornerbench::training
