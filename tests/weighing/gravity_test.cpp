#include "firmware/weighing/gravity.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace cornerbench;
using weighing::GravityError;
using weighing::local_gravity;

TEST_CASE("Gravity on the ellipsoid is GRS80's", "[weighing]") {
    // Moritz, Geodetic Reference System 1980, in The Geodesist's Handbook 1988 (Bulletin Geodesique 62):
    // normal gravity at latitude 0, 45 and 90 degrees, printed to 1e-9 m/s2.
    CHECK(local_gravity(0.0, 0.0) == Approx(9.780326772).epsilon(0).margin(1.0e-9));
    CHECK(local_gravity(45.0, 0.0) == Approx(9.806199203).epsilon(0).margin(1.0e-9));
    CHECK(local_gravity(90.0, 0.0) == Approx(9.832186368).epsilon(0).margin(1.0e-9));
}

TEST_CASE("Gravity is the same on both hemispheres", "[weighing]") {
    // Somigliana's formula has the latitude squared only.
    CHECK(local_gravity(-33.5, 0.0) == local_gravity(33.5, 0.0));
}

TEST_CASE("Gravity falls with height by the free-air gradient", "[weighing]") {
    // The Geodesist's Handbook 1988: free-air gradient -3.086e-6 per s2.
    CHECK(local_gravity(47.2, 1000.0) - local_gravity(47.2, 0.0) ==
          Approx(-3.086e-3).epsilon(0).margin(1.0e-12));
}

TEST_CASE("A scale moved to lighter gravity is told to show more", "[weighing]") {
    // Set at the pole (9.832186368) and used at the equator (9.780326772; The Geodesist's Handbook 1988), it
    // would weigh 60 000 kg as 60 000 * 9.780326772 / 9.832186368 = 59 683.53 kg.
    const auto moved = weighing::span_factor(9.832186368, 9.780326772);
    CHECK(moved.error == GravityError::none);
    CHECK(59683.53 * moved.factor == Approx(60000.0).epsilon(0).margin(0.01));

    // There and back is where it was; the cells' standard gravity (3rd CGPM, 1901) at both ends changes
    // nothing.
    const auto back = weighing::span_factor(9.780326772, 9.832186368);
    CHECK(moved.factor * back.factor == Approx(1.0).epsilon(1e-15));
    CHECK(weighing::span_factor(9.80665, 9.80665).factor == 1.0);
}

TEST_CASE("A gravity that no place on earth has is refused and changes nothing", "[weighing]") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK(weighing::span_factor(nan, 9.8).error == GravityError::not_a_number);
    CHECK(weighing::span_factor(9.8, nan).error == GravityError::not_a_number);
    for (const double g : {0.0, -9.8, 9.72, 9.87, 98.1, std::numeric_limits<double>::infinity()}) {
        INFO(g);
        CHECK(weighing::span_factor(9.8, g).error == GravityError::off_the_earth);
        CHECK(weighing::span_factor(g, 9.8).error == GravityError::off_the_earth);
        CHECK(weighing::span_factor(g, 9.8).factor == 1.0);
    }
    // From the shore of the Dead Sea to the summit of Everest (heights -430 m and 8849 m) all are on earth.
    CHECK(weighing::check_gravity(local_gravity(90.0, -430.0)) == GravityError::none);
    CHECK(weighing::check_gravity(local_gravity(0.0, 8849.0)) == GravityError::none);
}
