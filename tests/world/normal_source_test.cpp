#include <catch2/catch.hpp>

#include <array>
#include <cmath>
#include <cstdint>

#include "sim/world/normal_source.h"

using namespace cornerbench;

TEST_CASE("a normal source is normal, out into its tails", "[world]") {
    // Chi-square against the standard library's erf; 23 degrees of freedom, 1e-6 quantile 71.6 (Abramowitz
    // and Stegun, table 26.8, interpolated; from memory).
    world::NormalSource source(11, 1);
    constexpr int count = 1'000'000;
    constexpr std::array<double, 23> edges{-4.5, -4.0, -3.5, -3.0, -2.5, -2.0, -1.5, -1.0,
                                           -0.6, -0.3, -0.1, 0.0,  0.1,  0.3,  0.6,  1.0,
                                           1.5,  2.0,  2.5,  3.0,  3.5,  4.0,  4.5};
    std::array<int, edges.size() + 1> found{};
    double sum = 0.0;
    double squares = 0.0;
    for (int i = 0; i < count; ++i) {
        const double x = source.next();
        sum += x;
        squares += x * x;
        std::size_t bin = 0;
        while (bin < edges.size() && x >= edges[bin]) ++bin;
        ++found[bin];
    }
    const auto below = [](double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); };
    double chi_square = 0.0;
    for (std::size_t bin = 0; bin <= edges.size(); ++bin) {
        const double low = bin == 0 ? 0.0 : below(edges[bin - 1]);
        const double high = bin == edges.size() ? 1.0 : below(edges[bin]);
        const double expected = count * (high - low);
        chi_square += (found[bin] - expected) * (found[bin] - expected) / expected;
    }
    CHECK(chi_square < 71.6);
    CHECK(chi_square > 4.0);
    CHECK(std::fabs(sum / count) < 5.0 / std::sqrt(count));
    CHECK(std::fabs(squares / count - 1.0) < 5.0 * std::sqrt(2.0 / count));
}

TEST_CASE("streams of a seed go their own ways", "[world]") {
    world::NormalSource a(5, 1);
    world::NormalSource b(5, 2);
    world::NormalSource same(5, 1);
    double product = 0.0;
    constexpr int count = 10000;
    for (int i = 0; i < count; ++i) {
        const double x = a.next();
        REQUIRE(same.next() == x);
        product += x * b.next();
    }
    CHECK(std::fabs(product / count) < 5.0 / std::sqrt(count));
}
