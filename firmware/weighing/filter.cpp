#include "firmware/weighing/filter.h"

#include <numeric>

namespace cornerbench::weighing {

namespace {

constexpr std::int64_t least_rate_mHz = 5'000;
constexpr std::int64_t largest_rate_mHz = 1'000'000'000;
constexpr std::int64_t least_output_mHz = 1'000;
constexpr int sum_bits = 53;  // exact as a double, and room for a display filter's sums of sums

/// Factor of the second decimator: as near to ten as the whole allows.
int second_factor(int whole) {
    if (whole <= 10) return whole;
    for (int factor = 10; factor >= 4; --factor)
        if (whole % factor == 0) return factor;
    return whole;
}

bool multiplies_into(std::int64_t& product, const SincShape& shape, std::int64_t limit) {
    for (int i = 0; i < shape.order; ++i) {
        if (product > limit / shape.factor) return false;
        product *= shape.factor;
    }
    return true;
}

FilterError check(const FilterSettings& s) {
    if (s.rate_mHz < least_rate_mHz || s.rate_mHz > largest_rate_mHz) return FilterError::bad_rate;
    if (s.first_order < 1 || s.first_order > max_sinc_order) return FilterError::bad_order;
    if (s.second_order < 1 || s.second_order > max_sinc_order) return FilterError::bad_order;
    if (s.converter_bits < 8 || s.converter_bits > 32) return FilterError::bad_bits;
    if (s.mains != Mains::hz_60 && 50'000 % s.rate_mHz == 0) return FilterError::mains_hidden;
    if (s.mains != Mains::hz_50 && 60'000 % s.rate_mHz == 0) return FilterError::mains_hidden;
    return FilterError::none;
}

/// Covariance of outputs `apart` one from another for white noise of variance 1 at the input.
double covariance(const SincShape& first, const SincShape& second, int apart) {
    // The second decimator weighs a stream whose own samples overlap by up to `order - 1` of their length.
    double sum = 0.0;
    for (int k = 1 - first.order; k < first.order; ++k) {
        const std::int64_t lag = static_cast<std::int64_t>(apart) * second.factor + k;
        sum += first.correlation(static_cast<std::int64_t>(k) * first.factor) * second.correlation(lag);
    }
    return sum;
}

}  // namespace

FilterPlan plan_filter(const FilterSettings& settings) {
    FilterPlan plan;
    plan.error = check(settings);
    if (plan.error != FilterError::none) return plan;
    const std::int64_t mains_mHz =
        settings.mains == Mains::both ? 10'000 : (settings.mains == Mains::hz_50 ? 50'000 : 60'000);
    plan.rate_mHz = settings.rate_mHz;
    plan.output_mHz = std::gcd(settings.rate_mHz, mains_mHz);
    if (plan.output_mHz < least_output_mHz) {
        plan.error = FilterError::too_slow;
        return plan;
    }
    const int whole = static_cast<int>(plan.rate_mHz / plan.output_mHz);
    plan.second = {settings.second_order, second_factor(whole)};
    plan.first = {settings.first_order, whole / plan.second.factor};
    if (plan.first.factor == 1) plan.first.order = 1;

    std::int64_t gain = 1;
    const std::int64_t limit = std::int64_t{1} << (sum_bits - settings.converter_bits + 1);
    if (!multiplies_into(gain, plan.first, limit) || !multiplies_into(gain, plan.second, limit))
        plan.error = FilterError::too_many_bits;
    return plan;
}

std::int64_t FilterPlan::length() const {
    return first.length() + first.factor * (second.length() - 1);
}

int FilterPlan::settling_outputs() const {
    // The k-th output behind the step has at least (k - 1) factor + 1 inputs behind it.
    return static_cast<int>((length() - 1 + factor() - 1) / factor()) + 1;
}

double FilterPlan::noise_gain() const {
    return covariance(first, second, 0);
}

double FilterPlan::output_correlation(int apart) const {
    return covariance(first, second, apart) / covariance(first, second, 0);
}

std::int64_t FilterPlan::hidden_multiple(std::int64_t mains_mHz) const {
    return rate_mHz / std::gcd(rate_mHz, mains_mHz);
}

Filter::Filter(const FilterPlan& plan) : first_(plan.first), second_(plan.second), length_(plan.length()) {}

std::optional<Filtered> Filter::push(std::int32_t code, bool good) {
    if (!good) good_run_ = 0;
    if (good && good_run_ < length_) ++good_run_;
    const auto between = first_.push(good ? code : 0);
    if (!between) return std::nullopt;
    const auto sum = second_.push(*between);
    if (!sum) return std::nullopt;
    return Filtered{*sum, good_run_ >= length_};
}

}  // namespace cornerbench::weighing
