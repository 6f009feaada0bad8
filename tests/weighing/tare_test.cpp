#include "firmware/weighing/tare.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <type_traits>

#include "firmware/weighing/division.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using weighing::Tare;
using weighing::TareAnswer;
using weighing::TareKind;

static_assert(std::is_trivially_copyable_v<Tare>);

namespace {

const weighing::TareSettings weighbridge{60000.0, 20.0};

}  // namespace

TEST_CASE("A weighed tare brings the net weight within a quarter of a division of zero", "[weighing]") {
    // OIML R 76-1:2006, 4.6.3 (from memory): 0.25 e. A tare rounded to the division would leave up to half of
    // one.
    for (double gross = 10.0; gross < 60000.0; gross += 123.4) {
        Tare tare(weighbridge);
        REQUIRE(tare.take(gross, true) == TareAnswer::done);
        CHECK(std::fabs(tare.net_kg(gross)) <= 5.0);
        CHECK(tare.kind() == TareKind::weighed);
    }
}

TEST_CASE("There is no tare at zero, below it, in motion or above Max", "[weighing]") {
    // OIML R 76-1:2006, 4.6.4, 4.6.8 (from memory).
    const auto answer = [](double gross_kg, bool stable) { return Tare(weighbridge).take(gross_kg, stable); };
    CHECK(answer(15000.0, false) == TareAnswer::not_stable);
    CHECK(answer(0.0, true) == TareAnswer::not_positive);
    CHECK(answer(9.99, true) == TareAnswer::not_positive);  // shows 0
    CHECK(answer(10.0, true) == TareAnswer::done);          // shows 20
    CHECK(answer(-500.0, true) == TareAnswer::not_positive);
    CHECK(answer(60000.0, true) == TareAnswer::done);
    CHECK(answer(60000.1, true) == TareAnswer::over_range);
    CHECK(answer(std::nan(""), true) == TareAnswer::not_positive);
    CHECK(answer(HUGE_VAL, true) == TareAnswer::over_range);
    CHECK(Tare().take(100.0, true) != TareAnswer::done);
}

TEST_CASE("A preset tare is rounded to the division and needs no rest", "[weighing]") {
    // OIML R 76-1:2006, 4.7.1 (from memory).
    Tare tare(weighbridge);
    CHECK(tare.preset(14213.0) == TareAnswer::done);
    CHECK(tare.tare_kg() == 14220.0);
    CHECK(tare.kind() == TareKind::preset);
    CHECK(tare.preset(-20.0) == TareAnswer::not_positive);
    CHECK(tare.preset(9.0) == TareAnswer::not_positive);
    CHECK(tare.preset(60009.0) == TareAnswer::done);
    CHECK(tare.preset(60010.0) == TareAnswer::over_range);
    CHECK(tare.tare_kg() == 60000.0);
}

TEST_CASE("Over random keys the tare is what the last good key left", "[weighing]") {
    tests::Draw draw(81);
    for (int round = 0; round < 200; ++round) {
        Tare tare(weighbridge);
        double kept = 0.0;
        for (int i = 0; i < 300; ++i) {
            const double gross = draw.one_of({0.0, draw.uniform(-100.0, 100.0), draw.uniform(0.0, 66000.0)});
            const bool stable = draw.chance(0.7);
            const int key = draw.integer(0, 4);
            bool done = true;
            if (key == 0) {
                tare.clear();
                kept = 0.0;
            } else if (key == 1) {
                done = tare.take(gross, stable) == TareAnswer::done;
                REQUIRE(done == (stable && gross >= 10.0 && gross <= 60000.0));
                if (done) kept = gross;
            } else if (key == 2) {
                done = tare.preset(gross) == TareAnswer::done;
                const double rounded = 20.0 * std::floor(gross / 20.0 + 0.5);
                REQUIRE(done == (rounded >= 20.0 && rounded <= 60000.0));
                if (done) kept = rounded;
            }
            REQUIRE(tare.net_kg(gross) == gross - kept);
            REQUIRE((tare.kind() != TareKind::none) == (kept > 0.0));
            REQUIRE(tare.tare_kg() == kept);
        }
    }
}

TEST_CASE("Gross, tare and net, each rounded, add up but for a division", "[weighing]") {
    // Three roundings of half a division each make less than one and a half: as whole divisions, one at most.
    tests::Draw draw(82);
    int out_by_one = 0;
    for (int i = 0; i < 5000; ++i) {
        Tare tare(weighbridge);
        const double empty = draw.uniform(1000.0, 20000.0);
        REQUIRE(tare.take(empty, true) == TareAnswer::done);
        const double gross = draw.uniform(empty, 60000.0);
        const auto shown = [](double kg) { return weighing::whole_divisions(kg, 20.0); };
        const auto left_over = shown(gross) - shown(empty) - shown(tare.net_kg(gross));
        REQUIRE(std::abs(left_over) <= 1);
        out_by_one += left_over != 0 ? 1 : 0;
    }
    CHECK(out_by_one > 0);
}
