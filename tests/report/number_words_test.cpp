#include "sim/report/number_words.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace cornerbench;
using namespace cornerbench::report;

TEST_CASE("thousands stand apart, nothing is never negative", "[report]") {
    // SI brochure (BIPM, 9th edition), 5.4.4: groups of three by a space; here before the point only.
    CHECK(grouped(0) == "0");
    CHECK(grouped(999) == "999");
    CHECK(grouped(1000) == "1 000");
    CHECK(grouped(-10000) == "-10 000");
    CHECK(grouped(1234567.891, 2) == "1 234 567.89");
    CHECK(grouped(0.5, 1) == "0.5");
    CHECK(grouped(-0.001, 2) == "0.00");
    CHECK(grouped(999.999, 1) == "1 000.0");
    CHECK(grouped(std::numeric_limits<double>::infinity()) == "infinite");
    CHECK(signed_grouped(40) == "+40");
    CHECK(signed_grouped(0.04, 1) == "0.0");
    CHECK(signed_grouped(-1200) == "-1 200");
}

TEST_CASE("figures leave nothing behind", "[report]") {
    CHECK(figures(38.04) == "38");
    CHECK(figures(0.02) == "0.02");
    CHECK(figures(1234567) == "1 230 000");
    CHECK(figures(-0.1239) == "-0.124");
    CHECK(figures(0) == "0");
    CHECK(figures(9.999) == "10");
    CHECK(figures(2.0e-7, 2) == "0.0000002");
}

TEST_CASE("shares near their ends are not rounded to certainty", "[report]") {
    CHECK(percent(0.912) == "91 %");
    CHECK(percent(0.034) == "3.4 %");
    CHECK(percent(0.995) == "99.5 %");
    CHECK(percent(0.99999) == "above 99.9 %");
    CHECK(percent(1.0e-9) == "below 0.1 %");
    CHECK(percent(0.0) == "0 %");
    CHECK(percent(1.0) == "100 %");
    CHECK(probability_words(1.0) == "above 99.9 %");
    CHECK(probability_words(0.0) == "below 0.1 %");
    CHECK(probability_words(0.912) == "91 %");
}

TEST_CASE("masses speak the scale's unit with its division's places", "[report]") {
    scale::Description d;
    d.division_kg = 20.0;
    CHECK(MassWords(d).with_unit(10000.0) == "10 000 kg");
    CHECK(MassWords(d).difference(-40.0) == "-40");
    CHECK(MassWords(d).divisions(-50.0) == "-2.5 d");

    d.unit = scale::MassUnit::tonne;
    d.division_kg = 10.0;
    CHECK(MassWords(d).with_unit(9980.0) == "9.98 t");
    CHECK(MassWords(d).in_unit(9980.0) == 9.98);

    // One pound is 0.45359237 kg exactly (international yard and pound agreement, 1959).
    d.unit = scale::MassUnit::pound;
    d.division_kg = 20.0 * 0.45359237;
    CHECK(MassWords(d).with_unit(4535.9237) == "10 000 lb");
    CHECK(MassWords(d).in_unit(4535.9237) == 10000.0);
    CHECK(MassWords(d).divisions(-0.45359237 * 20.0) == "-1.0 d");
    CHECK(MassWords(d).decimals() == 0);
}

TEST_CASE("A multi-interval scale is named by all its ranges", "[report]") {
    scale::Description d;
    d.max_kg = 60000.0;
    d.division_kg = 20.0;
    CHECK(MassWords(d).max_words() == "60 000 kg");
    CHECK(MassWords(d).division_words() == "20 kg");
    d.finer[0] = {30000.0, 10.0};
    CHECK(MassWords(d).max_words() == "30 000/60 000 kg");
    d.finer[1] = {10000.0, 0.5};
    CHECK(MassWords(d).division_words() == "0.5/10.0/20.0 kg");
}
