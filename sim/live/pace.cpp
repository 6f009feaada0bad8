#include "sim/live/pace.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::live {

namespace {

constexpr double most_owed_us = 250'000.0;

}  // namespace

double Pace::owed(std::int64_t now_us) const {
    return static_cast<double>(now_us - since_us_) * factor_ / frame_us_ - done_;
}

int Pace::due(std::int64_t now_us, int most) {
    if (factor_ == 0.0) return most;
    if (!begun_) {
        begun_ = true;
        since_us_ = now_us;
    }
    const double owed_now = owed(now_us);
    const double most_owed = std::max(2.0, most_owed_us * factor_ / frame_us_);
    if (owed_now > most_owed) done_ += owed_now - most_owed;
    const int frames = static_cast<int>(std::clamp(std::floor(owed(now_us)), 0.0, static_cast<double>(most)));
    done_ += frames;
    return frames;
}

std::int64_t Pace::wait_us(std::int64_t now_us) const {
    if (factor_ == 0.0 || !begun_) return 0;
    const double missing = 1.0 - owed(now_us);
    return missing <= 0.0 ? 0 : static_cast<std::int64_t>(std::ceil(missing * frame_us_ / factor_));
}

}  // namespace cornerbench::live
