#include <catch2/catch.hpp>

#include <cmath>

#include "sim/files/cell_standard_file.h"
#include "tests/world/yard.h"

using namespace cornerbench;
using namespace cornerbench::tests;

namespace {

/// One cell's worth of a scale that shows `cell`, loaded over its own support.
struct OneCell {
    scale::Condition condition = scale::sound_condition(oracle::plain_scale(4));
    world::Supports force_N{};

    explicit OneCell(double creep, double hysteresis) {
        condition.cells[0].creep = creep;
        condition.cells[0].hysteresis = hysteresis;
    }
    double capacity_N() const { return condition.cells[0].capacity_kg * scale::standard_gravity; }
    double rated() const { return condition.cells[0].sensitivity_V_per_V; }
};

}  // namespace

TEST_CASE("in half an hour under load a cell creeps by its creep", "[world]") {
    // OIML R 60-1:2021 compares outputs after 30 minutes, and the change from 20 to 30 minutes with it: 0.15
    // of a limit of which 0.7 is for the whole.
    const auto r60 = files::find_cell_standard("OIML R 60", CORNERBENCH_SOURCE_DIR "/configs/scales/x.toml");
    REQUIRE(r60);
    const double most_late = r60.value->late_limit_errors / r60.value->creep_limit_errors;
    const int last_s = static_cast<int>(60.0 * r60.value->creep_min);
    const int late_s = static_cast<int>(60.0 * r60.value->late_from_min);
    OneCell one(4.0e-4, 0.0);
    world::CellsInTime cells(one.condition, one.force_N, 1.0);
    const double zero = cells.ratios()[0];
    one.force_N[0] = 0.95 * one.capacity_N();
    cells.step(one.force_N);
    const double at_once = cells.ratios()[0] - zero;
    const double straight = circuit::bridge_ratio(one.condition.cells[0], one.force_N[0]) - zero;
    CHECK(at_once == Approx(straight).epsilon(1.0e-5));
    double after_20_min = 0.0;
    for (int second = 2; second <= last_s; ++second) {
        cells.step(one.force_N);
        if (second == late_s) after_20_min = cells.ratios()[0] - zero;
    }
    const double after_30_min = cells.ratios()[0] - zero;
    CHECK((after_30_min - straight) / straight == Approx(4.0e-4).epsilon(1.0e-9));
    CHECK(after_30_min - after_20_min < most_late * (after_30_min - straight));
    CHECK(after_30_min > after_20_min);
    // And back: what is left when the load has gone is what had crept.
    one.force_N[0] = 0.0;
    cells.step(one.force_N);
    CHECK((cells.ratios()[0] - zero) / straight == Approx(4.0e-4).epsilon(0.02));
    for (int second = 0; second < 7200; ++second) cells.step(one.force_N);
    CHECK(std::fabs(cells.ratios()[0] - zero) < 1.0e-8 * straight);
}

TEST_CASE("creep does not depend on the rate at which it is looked at", "[world]") {
    OneCell one(4.0e-4, 0.0);
    world::CellsInTime slow(one.condition, one.force_N, 1.0);
    world::CellsInTime fast(one.condition, one.force_N, 0.125);
    one.force_N[0] = 0.5 * one.capacity_N();
    for (int second = 0; second < 300; ++second) {
        slow.step(one.force_N);
        for (int part = 0; part < 8; ++part) fast.step(one.force_N);
    }
    CHECK(fast.ratios()[0] == Approx(slow.ratios()[0]).epsilon(1.0e-12));
}

TEST_CASE("decreasing less increasing at mid range is the cell's hysteresis", "[world]") {
    // The definition of the word in the scale file, and of the still scale's `decreasing`.
    for (const double hysteresis : {3.0e-4, -5.0e-4}) {
        OneCell one(0.0, hysteresis);
        world::CellsInTime cells(one.condition, one.force_N, 0.01);
        const auto at = [&](double load) {
            one.force_N[0] = load * one.capacity_N();
            cells.step(one.force_N);
            return cells.ratios()[0];
        };
        for (int tenth = 0; tenth <= 10; ++tenth) {
            const double load = 0.1 * tenth;
            CHECK(at(load) == Approx(circuit::bridge_ratio(one.condition.cells[0], load * one.capacity_N()))
                                  .margin(1.0e-16));
        }
        for (int tenth = 9; tenth >= 0; --tenth) {
            const double load = 0.1 * tenth;
            CHECK(at(load) ==
                  Approx(circuit::bridge_ratio(one.condition.cells[0], load * one.capacity_N(), 1.0))
                      .margin(1.0e-16));
        }
        at(0.5);
        const double up = at(0.5);
        at(1.0);
        CHECK((at(0.5) - up) / one.rated() == Approx(hysteresis).epsilon(1.0e-9));
    }
}

TEST_CASE("a cell remembers its turning points until it has passed them", "[world]") {
    // Rayleigh: a loop is as high as the square of its swing. Madelung: it closes where it began, and the way
    // on is as if it had not been.
    world::Hysteresis plain;
    world::Hysteresis looped;
    plain.follow(0.6);
    looped.follow(0.6);
    looped.follow(0.2);
    const double inner_down = looped.follow(0.4);
    CHECK(looped.follow(0.6) == Approx(plain.follow(0.6)).margin(1.0e-15));
    CHECK(looped.follow(0.8) == Approx(plain.follow(0.8)).margin(1.0e-15));

    world::Hysteresis swing;
    swing.follow(0.6);
    const double down = swing.follow(0.4);
    swing.follow(0.2);
    const double up = swing.follow(0.4);
    CHECK(inner_down == up);
    CHECK(down - up == Approx(0.4 * 0.4).epsilon(1.0e-12));

    // Out of a loop inside a loop, both closed on the way.
    world::Hysteresis nested;
    for (const double load : {0.9, 0.1, 0.7, 0.3, 0.5, 0.4}) nested.follow(load);
    world::Hysteresis bare;
    bare.follow(0.9);
    CHECK(nested.follow(0.05) == Approx(bare.follow(0.05)).margin(1.0e-15));
}

TEST_CASE("hysteresis stays bounded and loses nothing through a long restless load", "[world]") {
    field::RandomSource random(3);
    world::Hysteresis restless;
    for (int n = 0; n < 200000; ++n) {
        // Ever smaller swings fill the memory; it must make room without a jump.
        const double swing = 0.5 / (1 + n % 97);
        const double value = restless.follow(0.5 + (n % 2 == 0 ? swing : -swing) * random.share());
        REQUIRE(value > -0.01);
        REQUIRE(value < 1.0);
    }
    restless.follow(1.0);
    world::Hysteresis fresh;
    fresh.follow(1.0);
    CHECK(restless.follow(0.3) == Approx(fresh.follow(0.3)).margin(1.0e-12));
}
