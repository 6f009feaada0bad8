#include "sim/field/prediction.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "firmware/numbers/elementary.h"

namespace cornerbench::field {

namespace {

/// Places nearer to each other than this, in standard deviations, are one.
constexpr double one_place = 0.3;

double normal_density(double z) {
    return std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
}

/// Integral of the normal probability up to `z`.
double normal_below_sum(double z) {
    return z * numbers::normal_below(z) + normal_density(z);
}

/// Mean of `of(z)` over the places that a value may stand at, whose share is even between each two: exactly
/// by its integral `sum_of` where they are apart.
template <typename Of, typename SumOf>
double over_pieces(const Prediction& p, double y, Of of, SumOf sum_of) {
    double sum = 0.0;
    for (int i = 0; i + 1 < p.places; ++i) {
        const auto k = static_cast<std::size_t>(i);
        const double share = p.share_below[k + 1] - p.share_below[k];
        const auto [low, high] = std::minmax(p.at[k], p.at[k + 1]);
        const double wide = (high - low) / p.deviation;
        const double from = (y - high) / p.deviation;
        sum +=
            share * (wide < one_place ? of(from + 0.5 * wide) : (sum_of(from + wide) - sum_of(from)) / wide);
    }
    return sum;
}

}  // namespace

double Prediction::density(double y) const {
    return over_pieces(*this, y, normal_density, numbers::normal_below) / deviation;
}

double Prediction::below(double y) const {
    return over_pieces(*this, y, numbers::normal_below, normal_below_sum);
}

double Prediction::least() const {
    return *std::min_element(at.begin(), at.end()) - 4.0 * deviation;
}

double Prediction::most() const {
    return *std::max_element(at.begin(), at.end()) + 4.0 * deviation;
}

}  // namespace cornerbench::field
