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

/// The most probable cause, and where it is one of several that readings cannot tell apart, all of them.
std::vector<Candidate> leading(const DiagnosedSheet& ranked) {
    const Candidate& top = ranked.candidates.front();
    if (top.group < 0) return {top};
    std::vector<Candidate> members;
    for (const int i : ranked.groups[static_cast<std::size_t>(top.group)].members)
        members.push_back(ranked.candidates[static_cast<std::size_t>(i)]);
    return members;
}

}  // namespace

std::optional<VisitEnd> enough_is_read(const VisitSoFar& so_far, double sure) {
    const Candidate& top = so_far.ranked.candidates.front();
    if (top.probability >= sure) return VisitEnd::sure;
    if (top.group < 0) return std::nullopt;
    if (so_far.ranked.groups[static_cast<std::size_t>(top.group)].probability < sure) return std::nullopt;
    const std::vector<Candidate> members = leading(so_far.ranked);
    const std::vector<int> ignored = set_aside(so_far.ranked.outcome);
    const bool split =
        !next_checks(so_far.description, so_far.sheet, members, ignored, 1, so_far.minutes, so_far.from)
             .empty();
    return split ? std::nullopt : std::optional(VisitEnd::sure_of_group);
}

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
        outcome.right = same_cause_and_place(ranked.candidates.front(), truth);
        if (const auto end = enough_is_read(so_far, setting.sure)) {
            outcome.end = *end;
            if (*end == VisitEnd::sure_of_group) {
                const std::vector<Candidate> members = leading(ranked);
                outcome.right = std::any_of(members.begin(), members.end(), [&](const Candidate& c) {
                    return same_cause_and_place(c, truth);
                });
            }
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
