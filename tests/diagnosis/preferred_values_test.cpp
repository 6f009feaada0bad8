#include "firmware/diagnosis/preferred_values.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <iterator>
#include <limits>

using namespace cornerbench::diagnosis;

TEST_CASE("The E96 series is the published one", "[trim]") {
    // IEC 60063, series E96; the list from memory.
    const int published[] = {100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143,
                             147, 150, 154, 158, 162, 165, 169, 174, 178, 182, 187, 191, 196, 200, 205, 210,
                             215, 221, 226, 232, 237, 243, 249, 255, 261, 267, 274, 280, 287, 294, 301, 309,
                             316, 324, 332, 340, 348, 357, 365, 374, 383, 392, 402, 412, 422, 432, 442, 453,
                             464, 475, 487, 499, 511, 523, 536, 549, 562, 576, 590, 604, 619, 634, 649, 665,
                             681, 698, 715, 732, 750, 768, 787, 806, 825, 845, 866, 887, 909, 931, 953, 976};
    REQUIRE(std::size(published) == 96);
    for (int i = 0; i < 96; ++i) {
        CAPTURE(i);
        CHECK(preferred_value(PreferredSeries::e96, i) == published[i] / 100.0);
    }
}

TEST_CASE("E48 is every second value of E96, E96 every second of E192", "[trim]") {
    // IEC 60063: the coarser series are contained in the finer ones.
    for (int i = 0; i < 48; ++i) {
        CHECK(preferred_value(PreferredSeries::e48, i) == preferred_value(PreferredSeries::e96, 2 * i));
    }
    for (int i = 0; i < 96; ++i) {
        CHECK(preferred_value(PreferredSeries::e96, i) == preferred_value(PreferredSeries::e192, 2 * i));
    }
    // The one value of E192 that the formula does not give (from memory).
    CHECK(std::round(100.0 * std::pow(10.0, 185.0 / 192.0)) == 919.0);
    CHECK(preferred_value(PreferredSeries::e192, 185) == 9.20);
}

TEST_CASE("The nearest preferred value is found in every decade", "[trim]") {
    CHECK(nearest_preferred_ohm(12.15, PreferredSeries::e96) == 12.1);
    CHECK(nearest_preferred_ohm(12.26, PreferredSeries::e96) == 12.4);
    CHECK(nearest_preferred_ohm(0.502, PreferredSeries::e96) == 0.499);
    CHECK(nearest_preferred_ohm(99.0, PreferredSeries::e96) == 100.0);
    CHECK(nearest_preferred_ohm(98.7, PreferredSeries::e96) == 97.6);
    CHECK(nearest_preferred_ohm(100.0, PreferredSeries::e96) == 100.0);
    CHECK(nearest_preferred_ohm(59.2e3, PreferredSeries::e96) == 59.0e3);
    CHECK(nearest_preferred_ohm(0.0, PreferredSeries::e96) == 0.0);
    CHECK(nearest_preferred_ohm(-5.0, PreferredSeries::e96) == 0.0);
    CHECK(nearest_preferred_ohm(std::numeric_limits<double>::infinity(), PreferredSeries::e96) == 0.0);
    // 1.02 and 1.05 lie furthest apart: half of that over their middle is 1.45 %.
    for (double ohm = 1.0e-2; ohm < 1.0e6; ohm *= 1.0137) {
        CAPTURE(ohm);
        CHECK(std::fabs(nearest_preferred_ohm(ohm, PreferredSeries::e96) / ohm - 1.0) < 0.0146);
    }
}
