#include "firmware/watch/chart.h"

#include <algorithm>
#include <cmath>

#include "firmware/numbers/elementary.h"

namespace cornerbench::watch {

namespace {

/// Beyond the threshold a sum overshoots by so much on the mean.
constexpr double overshoot = 1.166;

/// Sigmas from the mean at which a number is cut off before it is learnt from.
constexpr double most_learnt = 3.0;

/// The normal quantile of a value of Student's t with `freedom` degrees: Wallace (1959).
double normal_of(double t, double freedom) {
    const double scale = (8.0 * freedom + 1.0) / (8.0 * freedom + 3.0);
    const double size = scale * std::sqrt(freedom * numbers::log(1.0 + t * t / freedom));
    return t < 0.0 ? -size : size;
}

}  // namespace

double run_length_for(double reference, double threshold) {
    const double b = 2.0 * reference * (threshold + overshoot);
    return 0.5 * (numbers::exp(b) - b - 1.0) / (2.0 * reference * reference);
}

double threshold_for(double reference, double run_length) {
    double low = 0.0;
    double high = 50.0;
    for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        (run_length_for(reference, middle) < run_length ? low : high) = middle;
    }
    return high;
}

double Chart::deviation() const {
    return count_ > 1.0 ? std::sqrt(square_ * count_ / (count_ - 1.0)) : 0.0;
}

void Chart::take(double value, std::uint32_t truck, const ChartSettings& settings) {
    if (!(std::fabs(value) < 1.0e300)) return;
    const double weight = 1.0 / std::min(count_ + 1.0, settings.recent);
    recent_ += weight * (value - recent_);
    // What came before the change is what it is held against.
    if (alarmed()) return;
    if (count_ >= learning_numbers) {
        const double spread = std::sqrt(square_ * count_ / (count_ - 1.0) + settings.floor * settings.floor);
        const double t = (value - mean_) / (spread * std::sqrt(1.0 + 1.0 / count_));
        const double most = settings.most_sigmas;
        const double sigmas =
            spread > 0.0 ? std::max(-most, std::min(most, normal_of(t, count_ - 1.0))) : 0.0;
        if (up_ <= 0.0) up_since_ = truck - 1;
        if (down_ <= 0.0) down_since_ = truck - 1;
        up_ = std::max(0.0, up_ + sigmas - settings.reference);
        down_ = std::max(0.0, down_ - sigmas - settings.reference);
        if (up_ > settings.threshold || down_ > settings.threshold) {
            upwards_ = up_ > down_;
            alarm_truck_ = truck;
            alarm_step_ = value - mean_;
            since_truck_ = upwards_ ? up_since_ : down_since_;
            return;
        }
        // An odd one is learnt from, but no further than it counts.
        const double reach = most_learnt * spread;
        value = std::max(mean_ - reach, std::min(mean_ + reach, value));
    } else {
        up_since_ = down_since_ = truck;
    }
    count_ = std::min(count_ + 1.0, settings.memory);
    const double off = value - mean_;
    mean_ += off / count_;
    square_ += (off * (value - mean_) - square_) / count_;
}

}  // namespace cornerbench::watch
