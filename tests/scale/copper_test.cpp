#include "firmware/scale/copper.h"

#include <catch2/catch.hpp>
#include <cmath>

using cornerbench::scale::copper_ohm_per_m;

TEST_CASE("copper wire has the published resistance per length", "[scale]") {
    // Ohm per 1000 ft at 20 C from published wire tables; the gauge's diameter by ASTM B258,
    // 0.127 mm x 92^((36 - n)/39). The tables round to four figures.
    struct Gauge {
        int number;
        double ohm_per_1000_ft, ohm_per_km;
    };
    for (const Gauge& g : {Gauge{16, 4.016, 13.174}, Gauge{18, 6.385, 20.948}, Gauge{20, 10.15, 33.308},
                           Gauge{22, 16.14, 52.962}, Gauge{24, 25.67, 84.213}, Gauge{26, 40.81, 133.904},
                           Gauge{28, 64.90, 212.916}}) {
        CAPTURE(g.number);
        const double diameter_mm = 0.127 * std::pow(92.0, (36 - g.number) / 39.0);
        const double area_mm2 = std::acos(-1.0) / 4.0 * diameter_mm * diameter_mm;
        const double ohm_per_m = copper_ohm_per_m(area_mm2, 20.0);
        CHECK(304.8 * ohm_per_m == Approx(g.ohm_per_1000_ft).epsilon(6.0e-4));
        CHECK(1000.0 * ohm_per_m == Approx(g.ohm_per_km).margin(5.0e-4));
    }
}

TEST_CASE("solid copper stays below IEC 60228's largest resistance for its area", "[scale]") {
    // IEC 60228, classes 1 and 2, plain, 20 C: the limit leaves a few per cent for tolerance and stranding.
    struct Size {
        double mm2, largest_ohm_per_km;
    };
    for (const Size& s : {Size{0.5, 36.0}, Size{0.75, 24.5}, Size{1.0, 18.1}, Size{1.5, 12.1}}) {
        CAPTURE(s.mm2);
        const double ohm_per_km = 1000.0 * copper_ohm_per_m(s.mm2, 20.0);
        CHECK(ohm_per_km < s.largest_ohm_per_km);
        CHECK(ohm_per_km > 0.93 * s.largest_ohm_per_km);
    }
}

TEST_CASE("copper gains 0.393 % per kelvin at 20 C", "[scale]") {
    // IEC 60028's coefficient at constant mass, from memory.
    CHECK(copper_ohm_per_m(1.0, 30.0) / copper_ohm_per_m(1.0, 20.0) == Approx(1.0393).epsilon(1.0e-12));
    CHECK(copper_ohm_per_m(1.0, 0.0) / copper_ohm_per_m(1.0, 20.0) == Approx(0.9214).epsilon(1.0e-12));
}
