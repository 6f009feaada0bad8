#include "sim/field/visit.h"

#include <algorithm>

#include "sim/field/cause_and_place.h"
#include "sim/field/on_site.h"
#include "sim/field/open_question.h"
#include "sim/field/ranked_sheet.h"
#include "sim/field/set_aside.h"

namespace cornerbench::field {

using diagnosis::Candidate;
using diagnosis::Reading;

namespace {

/// Whether the diagnosis is sure now, and of whom.
struct Verdict {
    std::optional<VisitEnd> end{};
    bool right = false;
};

Verdict verdict_on(const VisitSoFar& so_far, double sure, const Candidate& truth) {
    const Candidate& top = so_far.ranked.candidates.front();
    Verdict verdict;
    verdict.right = same_cause_and_place(top, truth);
    if (top.probability >= sure) {
        verdict.end = VisitEnd::sure;
        return verdict;
    }
    if (top.group < 0) return verdict;
    const CauseGroup& group = so_far.ranked.groups[static_cast<std::size_t>(top.group)];
    if (group.probability < sure) return verdict;
    std::vector<Candidate> members;
    bool holds_truth = false;
    for (const int i : group.members) {
        members.push_back(so_far.ranked.candidates[static_cast<std::size_t>(i)]);
        holds_truth = holds_truth || same_cause_and_place(members.back(), truth);
    }
    const std::vector<int> ignored = set_aside(so_far.ranked.outcome);
    if (next_checks(so_far.description, so_far.sheet, members, ignored, 1, so_far.minutes, so_far.from)
            .empty()) {
        verdict.end = VisitEnd::sure_of_group;
        verdict.right = holds_truth;
    }
    return verdict;
}

}  // namespace

std::optional<Reading> planned_check(const VisitSoFar& so_far) {
    const std::vector<Candidate> about = open_question(so_far.description, so_far.ranked.candidates);
    const std::vector<int> ignored = set_aside(so_far.ranked.outcome);
    const std::vector<NextCheck> next =
        next_checks(so_far.description, so_far.sheet, about, ignored, 1, so_far.minutes, so_far.from);
    if (next.empty()) return std::nullopt;
    return next.front().reading;
}

VisitOutcome visit(const scale::Description& d, const diagnosis::Priors& priors,
                   std::span<const scale::Fault> faults, std::uint64_t seed, const VisitSetting& setting,
                   const ChooseCheck& choose) {
    OnSite site(d, faults, seed, setting.setting);
    Candidate truth;
    if (!faults.empty()) truth.fault = faults[0];
    if (faults.size() > 1) truth.also = faults[1];
    site.hear_complaint();
    VisitOutcome outcome;
    bool sheet_grew = true;
    DiagnosedSheet ranked;
    while (true) {
        const diagnosis::Sheet& sheet = site.sheet();
        if (sheet_grew) {
            ranked = ranked_sheet(d, sheet, priors);
            if (ranked.candidates.empty()) {
                outcome.end = VisitEnd::no_answer;
                return outcome;
            }
        }
        const VisitSoFar so_far{d, sheet, ranked, setting.minutes, site.from()};
        const Verdict verdict = verdict_on(so_far, setting.sure, truth);
        outcome.right = verdict.right;
        if (verdict.end) {
            outcome.end = *verdict.end;
            return outcome;
        }
        const bool full = sheet.readings.size() >= diagnosis::max_readings;
        const std::optional<Reading> next = full ? std::nullopt : choose(so_far);
        if (!next) {
            outcome.end = VisitEnd::nothing_left;
            return outcome;
        }
        outcome.minutes += minutes_of(*next, site.from(), setting.minutes);
        ++outcome.checks;
        if (outcome.minutes > setting.most_minutes) {
            outcome.minutes = setting.most_minutes;
            outcome.end = VisitEnd::out_of_time;
            return outcome;
        }
        // A reading that the deck does not bear must not be asked for for ever.
        sheet_grew = site.take(*next);
        if (!sheet_grew) {
            outcome.end = VisitEnd::nothing_left;
            return outcome;
        }
    }
}

}  // namespace cornerbench::field
