#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

#include "sim/files/conductor.h"

using cornerbench::files::gauge_area_mm2;
using cornerbench::files::parse_conductor;

namespace {

double diameter_mm(int gauge) {
    return std::sqrt(4.0 / std::numbers::pi * gauge_area_mm2(gauge));
}

}  // namespace

TEST_CASE("Wire gauges have the diameters that define them") {
    // ASTM B258 defines the gauge by two of its sizes: 36 is 0.0050 in, 0000 (-3) is 0.4600 in.
    CHECK(diameter_mm(36) == Approx(0.0050 * 25.4).epsilon(1.0e-12));
    CHECK(diameter_mm(-3) == Approx(0.4600 * 25.4).epsilon(1.0e-12));
}

TEST_CASE("A solid copper conductor of each gauge has its published resistance") {
    // Published copper wire tables, ohm per 1000 ft at 20 C, four figures (NBS Handbook 100, 1966; edition
    // from memory). Resistivity 17.241 nohm m: IEC 60028.
    const struct {
        int gauge;
        double ohm_per_1000_ft;
    } table[] = {{16, 4.016}, {18, 6.385}, {20, 10.15}, {22, 16.14}, {24, 25.67}, {26, 40.81}, {28, 64.90}};
    for (const auto& row : table) {
        INFO("AWG " << row.gauge);
        const double ohm = 0.017241 / gauge_area_mm2(row.gauge) * 304.8;
        // Half a unit of the fourth figure is at most 0.05 %.
        CHECK(ohm == Approx(row.ohm_per_1000_ft).epsilon(5.0e-4));
    }
}

TEST_CASE("Conductors are read by gauge and by area") {
    CHECK(parse_conductor("22 AWG").value() == gauge_area_mm2(22));
    CHECK(parse_conductor("22AWG").value() == gauge_area_mm2(22));
    CHECK(parse_conductor("22 awg").value() == gauge_area_mm2(22));
    CHECK(parse_conductor("0.5 mm2").value() == 0.5);
    CHECK(parse_conductor("0.75mm2").value() == 0.75);
    CHECK(parse_conductor("1.5 mm\u00b2").value() == 1.5);
}

TEST_CASE("What is no conductor of 0.03 to 10 mm2 is refused") {
    for (const char* text :
         {"", "22", "AWG", "mm2", "22.5 AWG", "-3 AWG", "7 AWG", "33 AWG", "99999999999 AWG", "0.02 mm2",
          "10.1 mm2", "-1 mm2", "nan mm2", "inf mm2", "1e9999 mm2", "0.5 mm", "0.5 0.5 mm2x", "0x1 mm2",
          "a very long text that names no conductor at all mm2"}) {
        INFO(text);
        CHECK_FALSE(parse_conductor(text).has_value());
    }
    CHECK(parse_conductor("0.03 mm2").value() == 0.03);
    CHECK(parse_conductor("10 mm2").value() == 10.0);
    CHECK(parse_conductor("8 AWG").has_value());
    CHECK(parse_conductor("32 AWG").has_value());
}
