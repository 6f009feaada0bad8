#include "firmware/weighing/zero.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::weighing {

Zero::Zero(const ZeroSettings& settings, double max_kg, double division_kg)
    : settings_(settings), max_kg_(max_kg), division_kg_(division_kg) {}

ZeroAnswer Zero::start_at(double offset_kg) {
    const bool in_range =
        offset_kg >= -settings_.initial_below * max_kg_ && offset_kg <= settings_.initial_above * max_kg_;
    if (!in_range) return ZeroAnswer::out_of_range;
    offset_kg_ = offset_kg;
    initial_offset_kg_ = offset_kg;
    established_ = true;
    following_ = false;
    return ZeroAnswer::done;
}

ZeroAnswer Zero::find_initial(double weight_kg, bool stable) {
    return stable ? start_at(weight_kg) : ZeroAnswer::not_stable;
}

bool Zero::in_setting_range(double offset_kg) const {
    const double moved = offset_kg - initial_offset_kg_;
    return moved >= -settings_.setting_below * max_kg_ && moved <= settings_.setting_above * max_kg_;
}

ZeroAnswer Zero::set(double weight_kg, bool stable) {
    if (!established_) return ZeroAnswer::no_initial_zero;
    if (!stable) return ZeroAnswer::not_stable;
    if (!in_setting_range(weight_kg)) return ZeroAnswer::out_of_range;
    offset_kg_ = weight_kg;
    following_ = false;
    return ZeroAnswer::done;
}

void Zero::track(double weight_kg, bool stable, std::int64_t now_us) {
    const double gross = gross_kg(weight_kg);
    const bool at_zero = std::fabs(gross) < settings_.tracking_window_divisions * division_kg_;
    const bool followed = following_;
    following_ = established_ && settings_.tracking && stable && at_zero;
    if (!following_) return;
    // The first look only starts the clock: what happened before it is not known to have been rest.
    const std::int64_t since_us = followed && now_us > followed_us_ ? now_us - followed_us_ : 0;
    followed_us_ = now_us;
    double most_kg = std::fabs(gross);
    if (settings_.tracking_divisions_per_s > 0.0) {
        const auto seconds = static_cast<double>(std::min(since_us, settings_.longest_step_us)) * 1.0e-6;
        most_kg = settings_.tracking_divisions_per_s * division_kg_ * seconds;
    }
    const double moved = offset_kg_ + std::clamp(gross, -most_kg, most_kg);
    if (in_setting_range(moved)) offset_kg_ = moved;
}

bool Zero::at_centre(double weight_kg) const {
    return established_ && std::fabs(gross_kg(weight_kg)) <= settings_.centre_divisions * division_kg_;
}

}  // namespace cornerbench::weighing
