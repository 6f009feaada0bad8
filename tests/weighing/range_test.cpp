#include "firmware/weighing/range.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "firmware/weighing/division.h"
#include "firmware/weighing/rules.h"

using namespace cornerbench;
using weighing::range_of;
using weighing::RangeState;

TEST_CASE("Nothing is shown above Max and nine divisions", "[weighing]") {
    // OIML R 76-1:2006, 4.2.3 (from memory): Max + 9 e, 60 180 kg on 60 t by 20 kg.
    const auto state = [](double shown) {
        return range_of(shown, 60000.0, 20.0, weighing::range_settings(weighing::oiml_r76_rules()));
    };
    CHECK(state(0.0) == RangeState::within);
    CHECK(state(60000.0) == RangeState::within);
    CHECK(state(60180.0) == RangeState::within);
    CHECK(state(60200.0) == RangeState::over);
    CHECK(state(HUGE_VAL) == RangeState::over);
    CHECK(state(std::nan("")) == RangeState::no_number);
    // The last weight that still rounds to 60 180.
    CHECK(state(weighing::rounded_kg(60189.9, 20.0)) == RangeState::within);
    CHECK(state(weighing::rounded_kg(60190.0, 20.0)) == RangeState::over);
}

TEST_CASE("Nothing is shown above 105 per cent of the capacity", "[weighing]") {
    // NIST Handbook 44, 2.20, S.1.7 (restated elsewhere): 126 000 lb on 120 000 lb by 20 lb, in kg as well (1
    // lb = 0.45359237 kg).
    const auto rules = weighing::range_settings(weighing::handbook_44_rules(true));
    const double pound = 0.45359237;
    const auto state = [&](double shown_lb) {
        return range_of(weighing::rounded_kg(shown_lb * pound, 20.0 * pound), 120000.0 * pound, 20.0 * pound,
                        rules);
    };
    CHECK(state(126000.0) == RangeState::within);
    CHECK(state(126020.0) == RangeState::over);
    // Where 105 % is no whole number of divisions (3160.5 kg) the last one below it is shown.
    CHECK(range_of(3160.0, 3010.0, 10.0, rules) == RangeState::within);
    CHECK(range_of(3170.0, 3010.0, 10.0, rules) == RangeState::over);
}

TEST_CASE("Nothing is shown twenty divisions below zero", "[weighing]") {
    // Common practice, no source.
    const auto rules = weighing::range_settings(weighing::oiml_r76_rules());
    CHECK(range_of(-400.0, 60000.0, 20.0, rules) == RangeState::within);
    CHECK(range_of(-420.0, 60000.0, 20.0, rules) == RangeState::under);
    CHECK(range_of(-HUGE_VAL, 60000.0, 20.0, rules) == RangeState::under);
}
