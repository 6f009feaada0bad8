#include <catch2/catch.hpp>

#include "sim/files/gravity.h"

using cornerbench::files::local_gravity;

TEST_CASE("Gravity on the ellipsoid is GRS80's") {
    // Moritz, Geodetic Reference System 1980, in The Geodesist's Handbook 1988 (Bulletin Geodesique 62):
    // normal gravity at latitude 0, 45 and 90 degrees, printed to 1e-9 m/s2.
    CHECK(local_gravity(0.0, 0.0) == Approx(9.780326772).epsilon(0).margin(1.0e-9));
    CHECK(local_gravity(45.0, 0.0) == Approx(9.806199203).epsilon(0).margin(1.0e-9));
    CHECK(local_gravity(90.0, 0.0) == Approx(9.832186368).epsilon(0).margin(1.0e-9));
}

TEST_CASE("Gravity is the same on both hemispheres") {
    // Somigliana's formula has the latitude squared only.
    CHECK(local_gravity(-33.5, 0.0) == local_gravity(33.5, 0.0));
}

TEST_CASE("Gravity falls with height by the free-air gradient") {
    // The Geodesist's Handbook 1988: free-air gradient -3.086e-6 per s2.
    CHECK(local_gravity(47.2, 1000.0) - local_gravity(47.2, 0.0) ==
          Approx(-3.086e-3).epsilon(0).margin(1.0e-12));
}
