#include "firmware/weighing/stability.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cornerbench::weighing {

Stability::Stability(const StabilitySettings& settings, double division_kg)
    : values_(std::clamp(settings.values, 2, max_stability_values)) {
    if (division_kg > 0.0 && settings.band_divisions >= 0.0) band_kg_ = settings.band_divisions * division_kg;
}

void Stability::interrupt() {
    ring_ = {};
    next_ = 0;
    count_ = 0;
    stable_ = false;
}

double Stability::spread_kg() const {
    if (count_ == 0) return 0.0;
    double smallest = ring_[0];
    double largest = ring_[0];
    for (std::int32_t i = 1; i < count_; ++i) {
        const double weight = ring_[static_cast<unsigned>(i)];
        smallest = weight < smallest ? weight : smallest;
        largest = weight > largest ? weight : largest;
    }
    return largest - smallest;
}

bool Stability::push(double weight_kg) {
    if (!(std::fabs(weight_kg) <= std::numeric_limits<double>::max())) {
        interrupt();
        return false;
    }
    ring_[static_cast<unsigned>(next_)] = weight_kg;
    next_ = (next_ + 1) % values_;
    if (count_ < values_) ++count_;
    stable_ = count_ == values_ && spread_kg() <= band_kg_;
    return stable_;
}

}  // namespace cornerbench::weighing
