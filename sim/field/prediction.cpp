#include "sim/field/prediction.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace cornerbench::field {

namespace {

/// Beyond this many standard deviations a normal counts as nothing.
constexpr double far_off = 6.0;
/// Places nearer to each other than this, in standard deviations, are one.
constexpr double one_place = 0.3;

double normal_below(double z) {
    if (z < -far_off) return 0.0;
    if (z > far_off) return 1.0;
    return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

double normal_density(double z) {
    return std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
}

/// Integral of `normal_below` up to `z`.
double normal_below_sum(double z) {
    if (z < -far_off) return 0.0;
    if (z > far_off) return z;
    return z * normal_below(z) + normal_density(z);
}

}  // namespace

double Prediction::density(double y) const {
    double sum = 0.0;
    for (int i = 0; i + 1 < places; ++i) {
        const auto k = static_cast<std::size_t>(i);
        const double share = share_below[k + 1] - share_below[k];
        const auto [low, high] = std::minmax(at[k], at[k + 1]);
        const double wide = (high - low) / deviation;
        const double from = (y - high) / deviation;
        if (wide < one_place)
            sum += share * normal_density(from + 0.5 * wide) / deviation;
        else
            sum += share * (normal_below(from + wide) - normal_below(from)) / (wide * deviation);
    }
    return sum;
}

double Prediction::below(double y) const {
    double sum = 0.0;
    for (int i = 0; i + 1 < places; ++i) {
        const auto k = static_cast<std::size_t>(i);
        const double share = share_below[k + 1] - share_below[k];
        const auto [low, high] = std::minmax(at[k], at[k + 1]);
        const double wide = (high - low) / deviation;
        const double from = (y - high) / deviation;
        if (wide < one_place)
            sum += share * normal_below(from + 0.5 * wide);
        else
            sum += share * (normal_below_sum(from + wide) - normal_below_sum(from)) / wide;
    }
    return sum;
}

double Prediction::least() const {
    return *std::min_element(at.begin(), at.end()) - 4.0 * deviation;
}

double Prediction::most() const {
    return *std::max_element(at.begin(), at.end()) + 4.0 * deviation;
}

}  // namespace cornerbench::field
