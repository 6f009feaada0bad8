#include "firmware/numbers/elementary.h"

#include <cmath>
#include <cstdint>
#include <limits>

namespace cornerbench::numbers {

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double ln2_high = 6.93147180369123816490e-01;  // upper 32 bits: k * ln2_high is exact
constexpr double ln2_low = 1.90821492927058770002e-10;
constexpr double sqrt_pi = 1.77245385090551602730;
constexpr double sqrt_2 = 1.41421356237309504880;
constexpr double log_sqrt_2pi = 0.91893853320467274178;

constexpr int exp_terms = 16;
constexpr int log_terms = 12;
constexpr int erf_terms = 60;

/// 1 / n!, 1 / (2 n + 1) and 2 / (2 n + 1): a product costs a fraction of a quotient.
struct Reciprocals {
    double factorial[exp_terms + 1];
    double odd[log_terms];
    double twice_odd[erf_terms + 1];
};

constexpr Reciprocals reciprocals() {
    Reciprocals r{};
    double product = 1.0;
    for (int n = 0; n <= exp_terms; ++n) {
        product *= n > 0 ? n : 1;
        r.factorial[n] = 1.0 / product;
    }
    for (int n = 0; n < log_terms; ++n) r.odd[n] = 1.0 / (2 * n + 1);
    for (int n = 0; n <= erf_terms; ++n) r.twice_odd[n] = 2.0 / (2 * n + 1);
    return r;
}

constexpr Reciprocals of = reciprocals();

/// e^(x^2) erfc(x) for x >= 1 by its continued fraction (DLMF 7.9.1), as one quotient of two numbers that
/// follow the fraction from its far end. What is cut off falls like e^(-2 x sqrt(2 terms)).
double scaled_erfc(double x) {
    double above = x;
    double below = 1.0;
    for (int k = 8 + static_cast<int>(200.0 / (x * x)); k >= 1; --k) {
        const double next = x * above + 0.5 * k * below;
        below = above;
        above = next;
        if (above > 1.0e150) {
            above *= 1.0e-150;
            below *= 1.0e-150;
        }
    }
    return below / (sqrt_pi * above);
}

}  // namespace

double exp(double x) {
    if (!(x == x)) return x;
    if (x > 709.0) return infinity;
    if (x < -708.0) return 0.0;
    const double k = std::floor(x / (ln2_high + ln2_low) + 0.5);
    const double r = (x - k * ln2_high) - k * ln2_low;
    double sum = of.factorial[exp_terms];
    for (int n = exp_terms - 1; n >= 0; --n) sum = sum * r + of.factorial[n];
    return std::ldexp(sum, static_cast<int>(k));
}

double log(double x) {
    if (!(x == x) || x < 0.0) return std::numeric_limits<double>::quiet_NaN();
    if (x < std::numeric_limits<double>::min()) return -infinity;
    if (x == infinity) return infinity;
    const auto bits = __builtin_bit_cast(std::uint64_t, x);
    int exponent = static_cast<int>(bits >> 52U) - 1023;
    double mantissa = __builtin_bit_cast(double, (bits & 0x000FFFFFFFFFFFFFULL) | 0x3FF0000000000000ULL);
    if (mantissa > sqrt_2) {
        mantissa *= 0.5;
        ++exponent;
    }
    // log m = 2 artanh((m - 1) / (m + 1)), |argument| < 0.172
    const double t = (mantissa - 1.0) / (mantissa + 1.0);
    const double t2 = t * t;
    double sum = 0.0;
    for (int n = log_terms - 1; n >= 0; --n) sum = sum * t2 + of.odd[n];
    return exponent * ln2_high + (2.0 * t * sum + exponent * ln2_low);
}

double erf(double x) {
    const double a = std::fabs(x);
    if (a > 6.0) return x > 0.0 ? 1.0 : -1.0;
    if (a > 2.5) {
        const double upper = 1.0 - exp(-a * a) * scaled_erfc(a);
        return x > 0.0 ? upper : -upper;
    }
    // Kummer's series (DLMF 7.6.2): all terms of one sign
    double term = x;
    double sum = x;
    for (int n = 1; n <= erf_terms; ++n) {
        term *= x * x * of.twice_odd[n];
        const double before = sum;
        sum += term;
        if (sum == before) break;
    }
    return 2.0 / sqrt_pi * exp(-x * x) * sum;
}

double log_normal_below(double x) {
    if (x < -1.5) {
        const double a = -x / sqrt_2;
        return -a * a + log(0.5 * scaled_erfc(a));
    }
    return log(0.5 * (1.0 + erf(x / sqrt_2)));
}

double log_normal_between(double a, double b) {
    if (!(a < b)) return -infinity;
    if (a > 0.0) return log_normal_between(-b, -a);
    const double upper = log_normal_below(b);
    const double ratio = exp(log_normal_below(a) - upper);
    // Close together: the density times the width, which the difference of two near numbers would lose.
    if (ratio > 1.0 - 1.0e-6) {
        const double middle = 0.5 * (a + b);
        return -0.5 * middle * middle - log_sqrt_2pi + log(b - a);
    }
    return upper + log(1.0 - ratio);
}

double normal_quantile(double p) {
    if (!(p > 0.0)) return -infinity;
    if (!(p < 1.0)) return infinity;
    const bool upper = p > 0.5;
    const double target = log(upper ? 1.0 - p : p);
    double x = 0.0;
    // Newton's rule on the logarithm of the lower tail, which is concave: no overshoot past the root
    for (int i = 0; i < 60; ++i) {
        const double value = log_normal_below(x);
        const double slope = exp(-0.5 * x * x - log_sqrt_2pi - value);
        const double step = (value - target) / slope;
        x -= step;
        if (std::fabs(step) < 1e-14 * (1.0 + std::fabs(x))) break;
    }
    return upper ? -x : x;
}

double log_sum(double a, double b) {
    const double high = a > b ? a : b;
    const double low = a > b ? b : a;
    if (low == -infinity) return high;
    return high + log(1.0 + exp(low - high));
}

}  // namespace cornerbench::numbers
