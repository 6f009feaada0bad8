#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include "tests/world/random_fault.h"
#include "tests/world/yard.h"

using namespace cornerbench;
using namespace cornerbench::tests;

TEST_CASE("a fault put into the empty yard is the same fault in a still scale, and mended it leaves no trace",
          "[world]") {
    // A contact begins slack where the deck stands and a support binds there, in both; so both agree.
    const scale::Description d = oracle::trimmed_scale(8);
    const double one = ratio_per_division(d);
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<scale::Cause>(i);
        Draw draw(static_cast<std::uint64_t>(i) + 77);
        const scale::Fault fault = random_fault(draw, d, cause);
        INFO(scale::name_of(cause));
        scale::Condition c = scale::sound_condition(d);
        world::World yard(d, c, 1, still(d));
        const int number = yard.inject({fault, {}});
        pass(yard, 0.1);
        REQUIRE(yard.fault(number) != nullptr);
        const int weight = yard.put({9000.0, 7.0, 0.9, 0.0});
        pass(yard, 0.1);

        scale::apply(fault, d, c);
        weighing::StillScale still_one(d, c);
        const mechanics::PointLoad load{7.0, 0.9, 9000.0 * d.gravity};
        still_one.change(std::span(&load, 1));
        if (still_one.error() != mechanics::DeckError::none) continue;
        CHECK(std::fabs(yard.truth().output.ratio - still_one.read({0.0, 1.0}).ratio) < 1.0e-2 * one);

        CHECK(yard.mend(number));
        yard.take_off(weight);
        pass(yard, 0.1);
        CHECK(yard.fault(number) == nullptr);
        weighing::StillScale sound(d, scale::sound_condition(d));
        CHECK(std::fabs(yard.truth().output.ratio - sound.read({0.0, 1.0}).ratio) < 1.0e-3 * one);
    }
}

TEST_CASE("rubbing takes load up and gives it back late", "[world]") {
    const scale::Description d = oracle::plain_scale(8);
    const weighing::ZeroAndSpan set = weighing::sound_calibration(d);
    world::World yard(d, scale::sound_condition(d), 1, still(d));
    scale::Fault fault;
    fault.cause = scale::Cause::rubbing;
    fault.site = {scale::SiteKind::support, 1, 0};
    fault.magnitude = {5.0e7, 2000.0};
    yard.inject({fault, {}});
    pass(yard, 0.1);
    yard.put({10000.0, 6.0, 2.6, 2.0});
    pass(yard, 3.0);
    const double up = weight_kg(yard, set);
    const int more = yard.put({10000.0, 6.0, 2.6, 2.0});
    pass(yard, 3.0);
    yard.take_off(more);
    pass(yard, 3.0);
    const double down = weight_kg(yard, set);
    // At its limit either way: Coulomb.
    CHECK(up == Approx(10000.0 - 2000.0 / d.gravity).margin(2.0));
    CHECK(down == Approx(10000.0 + 2000.0 / d.gravity).margin(2.0));
}

TEST_CASE("a wandering leak moves the weight and the yard keeps up with it", "[world]") {
    scale::Description d = oracle::plain_scale(8);
    scale::Fault fault;
    fault.cause = scale::Cause::wet_leak;
    fault.site = {scale::SiteKind::cell, 2, 0};
    fault.variant.a = scale::Wire::signal_plus;
    fault.variant.b = scale::Wire::excitation_minus;
    fault.magnitude[0] = 2.0e6;
    faults::Course course;
    course.grows_s = 60.0;
    course.wander = 2.0;
    world::World yard(d, scale::sound_condition(d), 9, still(d));
    const int number = yard.inject({fault, course});
    const double one = ratio_per_division(d);
    double low = 1.0;
    double high = -1.0;
    for (int minute = 0; minute < 60; ++minute) {
        pass(yard, 60.0);
        scale::Condition c = scale::sound_condition(d);
        scale::apply(yard.fault(number)->fault(), d, c);
        const double exact = weighing::StillScale(d, c).read({0.0, 1.0}).ratio;
        REQUIRE(std::fabs(yard.truth().output.ratio - exact) < 1.0e-3 * one);
        low = std::min(low, exact);
        high = std::max(high, exact);
    }
    CHECK(high - low > 2.0 * one);
}
