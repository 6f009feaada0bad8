#include "sim/faults/running_fault.h"

#include <algorithm>
#include <cmath>

#include "firmware/numbers/elementary.h"

namespace cornerbench::faults {

using scale::Cause;

namespace {

/// A size that changes steadily is looked at so often.
constexpr double look_every_s = 1.0;

constexpr double endless = std::numeric_limits<double>::infinity();

/// Magnitudes that mean decades grow by decades.
bool grows_by_factors(Cause cause) {
    return cause == Cause::wet_leak || cause == Cause::wrong_cell;
}

double grown(Cause cause, double harmless, double full, double share) {
    if (share >= 1.0) return full;
    if (grows_by_factors(cause)) {
        return harmless * numbers::exp(share * (numbers::log(full) - numbers::log(harmless)));
    }
    return harmless + share * (full - harmless);
}

}  // namespace

double harmless_magnitude(const scale::Description& description, const scale::Fault& fault, int index) {
    const scale::Magnitude magnitude =
        scale::magnitudes_of(description, fault.cause, fault.site).of[static_cast<std::size_t>(index)];
    switch (fault.cause) {
        case Cause::wet_leak:
            return magnitude.high;
        case Cause::weak_output:
        case Cause::wrong_cell:
            return 1.0;
        case Cause::excitation_low:
            return description.excitation_V;
        case Cause::rubbing:
            return index == 0 ? fault.magnitude[0] : 0.0;
        default:
            return 0.0;
    }
}

RunningFault::RunningFault(const scale::Description& description, const Scheduled& scheduled, double now_s,
                           const field::RandomSource& random)
    : full_(scheduled.fault),
      fault_(scheduled.fault),
      bounds_(scale::magnitudes_of(description, scheduled.fault.cause, scheduled.fault.site)),
      course_(scheduled.course),
      began_s_(now_s + scheduled.course.begins_s),
      ends_s_(now_s + scheduled.course.ends_s),
      looked_s_(began_s_),
      next_s_(began_s_),
      random_(random) {
    for (int i = 0; i < bounds_.count; ++i)
        harmless_[static_cast<std::size_t>(i)] = harmless_magnitude(description, full_, i);
    const bool comes_and_goes = course_.on_s > 0.0 && course_.off_s > 0.0;
    turns_s_ = comes_and_goes ? began_s_ + drawn(course_.on_s) : endless;
}

double RunningFault::drawn(double mean_s) {
    return course_.irregular ? -mean_s * numbers::log(random_.share()) : mean_s;
}

void RunningFault::wander(double passed_s) {
    if (course_.wander == 0.0 || !(passed_s > 0.0)) return;
    factor_ln_ += course_.wander * std::sqrt(passed_s / 3600.0) * random_.normal();
}

void RunningFault::resize(double now_s) {
    const double share = course_.grows_s > 0.0 ? (now_s - began_s_) / course_.grows_s : 1.0;
    for (int m = 0; m < bounds_.count; ++m) {
        const auto i = static_cast<std::size_t>(m);
        const double steady = grown(full_.cause, harmless_[i], full_.magnitude[i], share);
        fault_.magnitude[i] = steady;
        if (course_.wander == 0.0 || steady == 0.0) continue;
        double size = steady * numbers::exp(factor_ln_);
        // Where the cause ends the walk ends, and turns back from there.
        if (size < bounds_.of[i].low || size > bounds_.of[i].high) {
            size =
                std::clamp(size, std::min(steady, bounds_.of[i].low), std::max(steady, bounds_.of[i].high));
            factor_ln_ = numbers::log(size / steady);
        }
        fault_.magnitude[i] = size;
    }
}

bool RunningFault::step_to(double now_s) {
    if (over_ || now_s < next_s_) return false;
    const bool was_present = present_;
    const scale::Fault before = fault_;
    if (now_s >= ends_s_) {
        over_ = true;
        present_ = false;
        next_s_ = endless;
        return was_present;
    }
    while (now_s >= turns_s_) {
        on_ = !on_;
        turns_s_ += drawn(on_ ? course_.on_s : course_.off_s);
    }
    wander(now_s - looked_s_);
    looked_s_ = now_s;
    resize(now_s);
    present_ = on_;

    const bool changes = course_.wander != 0.0 || now_s < began_s_ + course_.grows_s;
    next_s_ = std::min({ends_s_, turns_s_, changes ? now_s + look_every_s : endless});
    return present_ != was_present || (present_ && before.magnitude != fault_.magnitude);
}

}  // namespace cornerbench::faults
