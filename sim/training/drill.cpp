#include "sim/training/drill.h"

#include "sim/field/cause_and_place.h"
#include "sim/field/open_question.h"
#include "sim/field/set_aside.h"
#include "sim/field/trimmed_corners.h"
#include "sim/field/visit.h"

namespace cornerbench::training {

using diagnosis::Candidate;
using diagnosis::Reading;
using scale::Fault;

namespace {

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

}  // namespace

Drill::Drill(const scale::Description& d, std::vector<Fault> hidden, const DrillSetting& setting)
    : description_(d),
      hidden_(std::move(hidden)),
      setting_(setting),
      site_(d, hidden_, setting.seed, setting.setting) {
    site_.hear_complaint();
    complaint_readings_ = static_cast<int>(site_.sheet().readings.size());
}

double Drill::minutes_of(const Reading& wanted) const {
    return field::minutes_of(wanted, site_.from(), setting_.minutes);
}

double Drill::minutes() const {
    double sum = minutes_before_;
    for (const Step& step : steps_) sum += step.minutes;
    return sum;
}

std::optional<Reading> Drill::take(const Reading& wanted) {
    if (site_.sheet().readings.size() >= diagnosis::max_readings) return std::nullopt;
    const double minutes = minutes_of(wanted);
    if (!site_.take(wanted)) return std::nullopt;
    ranked_.reset();
    const Reading read = site_.sheet().readings.back();
    steps_.push_back({read, minutes});
    return read;
}

bool Drill::turn_trim(int position, double by) {
    if (!site_.turn_trim(position, by)) return false;
    site_.hear_complaint();
    minutes_before_ = minutes();
    steps_.clear();
    ranked_.reset();
    return true;
}

double Drill::corner_spread_divisions() const {
    return field::corner_spread_divisions(description_, site_.truth());
}

const field::DiagnosedSheet& Drill::ranked() {
    if (!ranked_) ranked_ = field::rank_causes(description_, site_.sheet(), setting_.priors);
    return *ranked_;
}

Hint Drill::hint() {
    ++hints_;
    return hint_for({description_, site_.sheet(), ranked(), setting_.minutes, site_.from()});
}

CallVerdict Drill::call(std::span<const Fault> named) {
    CallVerdict verdict;
    if (field::same_cause_and_place(as_candidate(named), as_candidate(hidden_))) {
        verdict.end = CallEnd::right;
        return verdict;
    }
    for (const Fault& a : named) {
        for (const Fault& b : hidden_) {
            if (hidden_.size() > 1 && field::same_cause_and_place(a, b)) verdict.end = CallEnd::one_of_two;
        }
    }
    const Candidate* called = find(ranked(), named);
    const Candidate* truth = find(ranked(), hidden_);
    if (called != nullptr && truth != nullptr && called->group >= 0 && called->group == truth->group) {
        find_missing(*called, *truth, verdict);
        verdict.end = verdict.missing ? CallEnd::too_early : CallEnd::as_right_as_can_be;
        if (verdict.missing) ++hints_;
        return verdict;
    }
    if (verdict.end == CallEnd::wrong) explain_wrong(named, verdict);
    ++wrong_calls_;
    return verdict;
}

void Drill::find_missing(const Candidate& called, const Candidate& truth, CallVerdict& verdict) {
    verdict.missing_about = {called, truth};
    for (Candidate& c : verdict.missing_about) c.probability = 0.5;
    const std::vector<field::NextCheck> next =
        field::next_checks(description_, site_.sheet(), verdict.missing_about,
                           field::set_aside(ranked().outcome), 1, setting_.minutes, site_.from());
    if (!next.empty()) verdict.missing = next.front();
}

void Drill::explain_wrong(std::span<const Fault> named, CallVerdict& verdict) {
    const Candidate* called = find(ranked(), named);
    const Candidate by = called != nullptr ? *called : as_candidate(named);
    verdict.against = what_speaks_against(description_, site_.sheet(), ranked(), by);
    const Candidate* truth = find(ranked(), hidden_);
    if (!verdict.against && truth != nullptr) find_missing(by, *truth, verdict);
}

}  // namespace cornerbench::training
