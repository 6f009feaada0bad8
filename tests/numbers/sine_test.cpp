#include "firmware/numbers/sine.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "firmware/numbers/elementary.h"
#include "tests/random_scale.h"

// The C library's long double functions are the reference.

using namespace cornerbench;

TEST_CASE("sine and cosine agree with the C library's long doubles", "[numbers][weighing]") {
    tests::Draw draw(5);
    for (const double reach : {0.8, 7.0, 1.0e3, 1.0e6}) {
        double worst = 0.0;
        for (int i = 0; i < 100000; ++i) {
            const double x = draw.uniform(-reach, reach);
            const auto wide = static_cast<long double>(x);
            worst = std::max(worst, std::fabs(numbers::sin(x) - static_cast<double>(std::sin(wide))));
            worst = std::max(worst, std::fabs(numbers::cos(x) - static_cast<double>(std::cos(wide))));
        }
        INFO("up to " << reach);
        CHECK(worst <= 3.0e-16);
    }
}

TEST_CASE("sine keeps its relative precision near zero", "[numbers][weighing]") {
    for (const double x : {1.0e-300, 1.0e-20, 1.0e-8, 1.0e-3, 0.5}) {
        const auto reference = static_cast<double>(std::sin(static_cast<long double>(x)));
        CHECK(std::fabs(numbers::sin(x) - reference) <= 2.3e-16 * reference);
        CHECK(numbers::sin(-x) == -numbers::sin(x));
        CHECK(numbers::cos(-x) == numbers::cos(x));
    }
    CHECK(numbers::sin(0.0) == 0.0);
    CHECK(numbers::cos(0.0) == 1.0);
    // The double nearest to pi lies 1.2246467991473532e-16 below it (C library, long double).
    CHECK(numbers::sin(numbers::pi) == Approx(1.2246467991473532e-16).epsilon(1e-9));
}

TEST_CASE("sine refuses an angle whose turns it cannot take off exactly", "[numbers][weighing]") {
    CHECK(std::isnan(numbers::sin(1.1e6)));
    CHECK(std::isnan(numbers::cos(-1.1e6)));
    CHECK(std::isnan(numbers::sin(std::nan(""))));
}
