#include "firmware/weighing/sinc.h"

namespace cornerbench::weighing {

std::int64_t SincShape::gain() const {
    std::int64_t gain = 1;
    for (int i = 0; i < order; ++i) gain *= factor;
    return gain;
}

double SincShape::correlation(std::int64_t lag) const {
    // The coefficient of z^n in ((1 - z^R) / (1 - z))^2N, n counted from the nearer end: the sum over j of
    // (-1)^j C(2N, j) C(n - j R + 2N - 1, 2N - 1).
    const int doubled = 2 * order;
    const std::int64_t n = static_cast<std::int64_t>(order) * (factor - 1) - (lag < 0 ? -lag : lag);
    double sum = 0.0;
    double sign_choices = 1.0;
    for (int j = 0; j <= doubled && n - static_cast<std::int64_t>(j) * factor >= 0; ++j) {
        const auto rest = static_cast<double>(n - static_cast<std::int64_t>(j) * factor);
        double ways = 1.0;
        for (int i = 1; i < doubled; ++i) ways *= (rest + i) / i;
        sum += sign_choices * ways;
        sign_choices *= -static_cast<double>(doubled - j) / (j + 1);
    }
    const auto scale = static_cast<double>(gain());
    return sum / scale / scale;
}

std::optional<std::int64_t> SincDecimator::push(std::int64_t sample) {
    auto value = static_cast<std::uint64_t>(sample);
    const auto order = static_cast<unsigned>(shape_.order);
    for (unsigned i = 0; i < order; ++i) value = integrator_[i] += value;
    if (++phase_ < shape_.factor) return std::nullopt;
    phase_ = 0;
    for (unsigned i = 0; i < order; ++i) {
        const std::uint64_t difference = value - before_[i];
        before_[i] = value;
        value = difference;
    }
    return static_cast<std::int64_t>(value);
}

}  // namespace cornerbench::weighing
