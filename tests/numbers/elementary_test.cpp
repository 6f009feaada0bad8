#include "firmware/numbers/elementary.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

// The C library's long double functions are the reference; its doubles are good to about one rounding error.

using namespace cornerbench;

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double epsilon = std::numeric_limits<double>::epsilon();

/// Distance in units of the last place of the reference.
double ulps(double ours, long double reference) {
    const auto rounded = static_cast<double>(reference);
    const double unit = std::max(std::fabs(rounded) * epsilon, std::numeric_limits<double>::min());
    return std::fabs(static_cast<double>(static_cast<long double>(ours) - reference)) / unit;
}

template <typename F, typename G>
double worst_ulps(double low, double high, F&& ours, G&& reference) {
    std::mt19937_64 random(8);
    std::uniform_real_distribution<double> any(low, high);
    double worst = 0.0;
    for (int i = 0; i < 100000; ++i) {
        const double x = any(random);
        worst = std::max(worst, ulps(ours(x), reference(static_cast<long double>(x))));
    }
    return worst;
}

long double below(long double x) {
    return std::erfc(-x / std::sqrt(2.0L)) / 2.0L;
}

}  // namespace

TEST_CASE("the exponential agrees with the C library's", "[numbers]") {
    const auto theirs = [](long double x) { return std::exp(x); };
    CHECK(worst_ulps(-1.0, 1.0, numbers::exp, theirs) < 1.0);
    CHECK(worst_ulps(-700.0, 700.0, numbers::exp, theirs) < 1.0);
    CHECK(numbers::exp(0.0) == 1.0);
    CHECK(numbers::exp(-1000.0) == 0.0);
    CHECK(numbers::exp(1000.0) == infinity);
    CHECK(std::isnan(numbers::exp(std::nan(""))));
}

TEST_CASE("the logarithm agrees with the C library's", "[numbers]") {
    const auto theirs = [](long double x) { return std::log(x); };
    CHECK(worst_ulps(0.5, 2.0, numbers::log, theirs) < 3.0);
    CHECK(worst_ulps(1.0e-3, 1.0e3, numbers::log, theirs) < 3.0);
    CHECK(worst_ulps(
              -300.0, 300.0, [](double x) { return numbers::log(std::pow(10.0, x)); },
              [](long double x) {
                  return std::log(static_cast<long double>(std::pow(10.0, static_cast<double>(x))));
              }) < 3.0);
    CHECK(numbers::log(1.0) == 0.0);
    CHECK(numbers::log(0.0) == -infinity);
    CHECK(numbers::log(infinity) == infinity);
    CHECK(std::isnan(numbers::log(-1.0)));
}

TEST_CASE("the error function agrees with the C library's", "[numbers]") {
    const auto theirs = [](long double x) { return std::erf(x); };
    CHECK(worst_ulps(-7.0, 7.0, numbers::erf, theirs) < 8.0);
    CHECK(worst_ulps(-1.0e-3, 1.0e-3, numbers::erf, theirs) < 8.0);
    CHECK(numbers::erf(0.0) == 0.0);
    CHECK(numbers::erf(10.0) == 1.0);
    CHECK(numbers::erf(-10.0) == -1.0);
}

TEST_CASE("the normal tail's logarithm holds far down", "[numbers]") {
    // Reference: log(erfc(-x/sqrt 2)/2) in long double, which reaches x = -140.
    const auto theirs = [](long double x) { return std::log(below(x)); };
    CHECK(worst_ulps(-140.0, -1.5, numbers::log_normal_below, theirs) < 10.0);
    CHECK(worst_ulps(-1.5, 0.0, numbers::log_normal_below, theirs) < 20.0);
    for (double x = 0.0; x < 9.0; x += 0.01) {
        const auto reference = static_cast<double>(theirs(static_cast<long double>(x)));
        CHECK(std::fabs(numbers::log_normal_below(x) - reference) < 4.0 * epsilon);
    }
    CHECK(numbers::log_normal_below(0.0) == Approx(-std::log(2.0)).epsilon(1.0e-15));
}

TEST_CASE("the normal quantile undoes the normal distribution", "[numbers]") {
    // 97.5 % lie below 1.959963984540054 (the familiar 1.96; value from memory).
    CHECK(numbers::normal_quantile(0.975) == Approx(1.959963984540054).epsilon(1.0e-14));
    CHECK(numbers::normal_quantile(0.5) == Approx(0.0).margin(1.0e-15));
    CHECK(numbers::normal_quantile(0.0) == -infinity);
    CHECK(numbers::normal_quantile(1.0) == infinity);
    std::mt19937_64 random(9);
    std::uniform_real_distribution<double> any(-300.0, -1.0e-3);
    for (int i = 0; i < 2000; ++i) {
        const double p = std::pow(10.0, any(random));
        CAPTURE(p);
        const double x = numbers::normal_quantile(p);
        // d log p/dx is about |x| far down, so a rounding error of x weighs x^2 in p.
        const double allowed = 8.0 * epsilon * (1.0 + x * x);
        const auto back = static_cast<double>(below(static_cast<long double>(x)));
        CHECK(back == Approx(p).epsilon(allowed));
    }
    std::uniform_real_distribution<double> inner(0.0, 1.0);
    for (int i = 0; i < 2000; ++i) {
        const double p = inner(random);
        CAPTURE(p);
        const auto back = static_cast<double>(below(static_cast<long double>(numbers::normal_quantile(p))));
        CHECK(back == Approx(p).epsilon(1.0e-14));
    }
}

TEST_CASE("a sum of exponentials neither overflows nor vanishes", "[numbers]") {
    CHECK(numbers::log_sum(0.0, 0.0) == Approx(std::log(2.0)).epsilon(1.0e-15));
    CHECK(numbers::log_sum(5000.0, 5000.0) == Approx(5000.0 + std::log(2.0)).epsilon(1.0e-15));
    CHECK(numbers::log_sum(-5000.0, -5001.0) ==
          Approx(-5000.0 + std::log1p(std::exp(-1.0))).epsilon(1.0e-15));
    CHECK(numbers::log_sum(-infinity, 3.0) == 3.0);
    CHECK(numbers::log_sum(3.0, -infinity) == 3.0);
    CHECK(numbers::log_sum(-infinity, -infinity) == -infinity);
}
