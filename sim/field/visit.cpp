#include "sim/field/visit.h"

#include <algorithm>
#include <stdexcept>

#include "sim/field/cause_and_place.h"
#include "sim/field/field_readings.h"
#include "sim/field/look_finding.h"
#include "sim/field/open_question.h"
#include "sim/field/test_load.h"

namespace cornerbench::field {

using diagnosis::Candidate;
using diagnosis::Direction;
using diagnosis::Quantity;
using diagnosis::Reading;

namespace {

constexpr std::uint64_t look_stream = 31;

/// The scale that was called for, with somebody who takes readings there.
class OnSite {
  public:
    OnSite(const scale::Description& d, const scale::Fault& fault, std::uint64_t seed,
           const SheetSetting& setting)
        : description_(d),
          fault_(fault),
          seed_(seed),
          prepared_(prepare_scale(d, {&fault, 1}, seed, setting)),
          field_(d, prepared_.truth, prepared_.calibration, setting.instruments, setting.noisy, seed,
                 setting.unmodelled) {
        sheet_.instruments = setting.instruments;
        sheet_.zeroed = setting.zeroed;
        sheet_.history = setting.history;
        if (setting.zeroed == diagnosis::Zeroed::now) field_.zero();
    }

    /// The weights over the corners, the deck empty before and after.
    void hear_complaint() {
        const double test_kg = usual_corner_kg(description_);
        Reading weight;
        take(weight);
        for (int i = 0; i < description_.cell_count(); ++i) {
            const Place place = over_support(description_.deck, i);
            weight.load.count = 1;
            weight.load.standing[0] = {test_kg, place.x_m, place.y_m};
            take(weight);
        }
        Reading returned;
        returned.direction = Direction::returned;
        take(returned);
        from_ = {};
    }

    /// Takes `wanted` and writes it down. False when the deck does not bear it: then it is not on the sheet.
    bool take(const Reading& wanted) {
        bring_weight(wanted);
        from_ = after(wanted, from_);
        Reading read = value_of(wanted);
        read.direction = wanted.direction;
        if (field_.error() != mechanics::DeckError::none) return false;
        readings_.push_back(read);
        return true;
    }

    const diagnosis::Sheet& sheet() {
        sheet_.readings = readings_;
        return sheet_;
    }
    const Workplace& from() const { return from_; }

  private:
    void bring_weight(const Reading& wanted) {
        const Workplace then = after(wanted, from_);
        if (!diagnosis::same_load(then.standing, from_.standing) || readings_.empty()) {
            if (then.standing.count == 0) {
                field_.unload();
            } else {
                const diagnosis::Standing& s = then.standing.standing[0];
                field_.load(s.mass_kg, {s.x_m, s.y_m});
            }
        }
        if (wanted.direction == Direction::decreasing) field_.come_down_from_twice();
    }

    Reading value_of(const Reading& wanted) {
        switch (wanted.quantity) {
            case Quantity::weight:
                return field_.weight();
            case Quantity::channel:
                return field_.channel(wanted.cell);
            case Quantity::signal:
                return field_.lifted_signal(wanted.cell);
            case Quantity::resistance:
                return field_.resistance(wanted.cell, wanted.between_a, wanted.between_b);
            case Quantity::excitation:
                return field_.excitation(wanted.place, wanted.cell);
            case Quantity::inspection:
                return look_at(wanted);
        }
        return wanted;
    }

    /// Each thing is found as it is found, in whatever order things are looked at.
    Reading look_at(Reading look) const {
        const auto which = static_cast<std::uint64_t>(look.cell * diagnosis::look_count) +
                           static_cast<std::uint64_t>(look.look);
        RandomSource random(seed_, look_stream + which);
        look.as_it_should_be = random.share() >= chance_of_finding(look, fault_);
        return look;
    }

    const scale::Description& description_;
    scale::Fault fault_;
    std::uint64_t seed_ = 0;
    PreparedScale prepared_;
    FieldReadings field_;
    std::vector<Reading> readings_;
    diagnosis::Sheet sheet_;
    Workplace from_;
};

std::vector<int> set_aside(const DiagnosedSheet& ranked) {
    std::vector<int> ignored;
    for (int w = 0; w < ranked.outcome.wild_count; ++w) {
        ignored.push_back(ranked.outcome.wild[static_cast<std::size_t>(w)].reading);
    }
    return ignored;
}

/// Whether the diagnosis is sure now, and of whom.
struct Verdict {
    std::optional<VisitEnd> end{};
    bool right = false;
};

Verdict verdict_on(const VisitSoFar& so_far, double sure, const scale::Fault& truth) {
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
    const std::vector<int> ignored = set_aside(so_far.ranked);
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
    const std::vector<int> ignored = set_aside(so_far.ranked);
    const std::vector<NextCheck> next =
        next_checks(so_far.description, so_far.sheet, about, ignored, 1, so_far.minutes, so_far.from);
    if (next.empty()) return std::nullopt;
    return next.front().reading;
}

VisitOutcome visit(const scale::Description& d, const diagnosis::Priors& priors, const scale::Fault& fault,
                   std::uint64_t seed, const VisitSetting& setting, const ChooseCheck& choose) {
    OnSite site(d, fault, seed, setting.setting);
    site.hear_complaint();
    VisitOutcome outcome;
    bool sheet_grew = true;
    DiagnosedSheet ranked;
    while (true) {
        const diagnosis::Sheet& sheet = site.sheet();
        if (sheet_grew) {
            try {
                ranked = rank_causes(d, sheet, priors);
            } catch (const std::runtime_error&) {
                outcome.end = VisitEnd::no_answer;
                return outcome;
            }
        }
        const VisitSoFar so_far{d, sheet, ranked, setting.minutes, site.from()};
        const Verdict verdict = verdict_on(so_far, setting.sure, fault);
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
