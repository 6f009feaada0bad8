#include "sim/training/drill.h"

#include "sim/field/trimmed_corners.h"
#include "sim/field/visit.h"

namespace cornerbench::training {

using diagnosis::Reading;
using scale::Fault;

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
    Hint hint = hint_for({description_, site_.sheet(), ranked(), setting_.minutes, site_.from()});
    hint.again = hinted_at_ == site_.sheet().readings.size();
    hinted_at_ = site_.sheet().readings.size();
    return hint;
}

CallVerdict Drill::call(std::span<const Fault> named) {
    const CallVerdict verdict =
        verdict_of({description_, site_.sheet(), hidden_, setting_.minutes, site_.from()}, named,
                   [this]() -> const field::DiagnosedSheet& { return ranked(); });
    guessed_ = verdict.guessed;
    if (verdict.end == CallEnd::too_early)
        ++hints_;
    else if (!is_found(verdict.end))
        ++wrong_calls_;
    return verdict;
}

}  // namespace cornerbench::training
