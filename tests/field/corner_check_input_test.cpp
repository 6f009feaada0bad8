#include "sim/field/corner_check_input.h"

#include <catch2/catch.hpp>

#include "sim/field/places.h"
#include "tests/field/field_scales.h"

using namespace cornerbench;
using diagnosis::CornerError;
using diagnosis::Direction;
using diagnosis::Quantity;
using diagnosis::Reading;

namespace {

Reading weight(double value_kg) {
    Reading r;
    r.value = value_kg;
    return r;
}

Reading weight_at(double value_kg, double mass_kg, field::Place at) {
    Reading r = weight(value_kg);
    r.load.standing[0] = {mass_kg, at.x_m, at.y_m};
    r.load.count = 1;
    return r;
}

field::CornerCheckInput input_of(const scale::Description& d, const std::vector<Reading>& readings) {
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    sheet.zeroed = diagnosis::Zeroed::now;
    return field::corner_check_input(d, sheet);
}

}  // namespace

TEST_CASE("corner readings of a sheet reach the box's check", "[field]") {
    const scale::Description d = field::limp_eight();
    Reading down = weight_at(9980.0, 10000.0, field::over_support(d.deck, 1));
    down.direction = Direction::decreasing;
    down.came_down_from = 1.5;
    const auto input = input_of(d, {weight(20.0), weight_at(10020.0, 10000.0, field::over_support(d.deck, 0)),
                                    weight_at(9960.0, 10000.0, field::over_support(d.deck, 1)), down,
                                    weight_at(8020.0, 8000.0, field::over_support(d.deck, 7)), weight(40.0)});
    CHECK(input.unused.empty());
    CHECK_FALSE(input.with_channels);
    CHECK(input.readings.empty().kg() == 20.0);
    CHECK(input.readings.returned().kg() == 40.0);
    CHECK(input.readings.corner(0).loaded.kg() == 10020.0);
    CHECK(input.readings.corner(1).loaded.kg() == 9960.0);
    CHECK(input.readings.corner(1).unloading.kg() == 9980.0);
    CHECK(static_cast<double>(input.readings.corner(1).came_down_from) == 1.5);
    CHECK(input.readings.corner(7).mass_kg == 8000.0);
    CHECK(input.scale.resolution_kg == 20.0);
    const diagnosis::CornerReport report = input.judge();
    CHECK(report.error == CornerError::none);
    CHECK(report.unread == 0b01111100);
}

TEST_CASE("readings that are none of corners are set aside, with the reason", "[field]") {
    const scale::Description d = field::limp_eight();
    const field::Place corner = field::over_support(d.deck, 3);
    Reading over = weight_at(0.0, 10000.0, corner);
    over.shown = diagnosis::Shown::over_range;
    Reading resistance;
    resistance.quantity = Quantity::resistance;
    Reading crowd = weight_at(10000.0, 5000.0, corner);
    crowd.load.standing[1] = {5000.0, 0.0, 0.0};
    crowd.load.count = 2;
    const auto input =
        input_of(d, {resistance, weight(0.0), weight_at(10000.0, 10000.0, field::over_section(d.deck, 1)),
                     over, crowd, weight_at(10000.0, 10000.0, corner), weight_at(5000.0, 5000.0, corner)});
    REQUIRE(input.unused.size() == 4);
    CHECK(input.unused[0].index == 2);
    CHECK(input.unused[0].why == CornerError::none);
    CHECK(input.unused[1].index == 3);
    CHECK(input.unused[2].index == 4);
    CHECK(input.unused[3].index == 6);
    CHECK(input.unused[3].why == CornerError::other_mass);
    CHECK(input.readings.corner(3).loaded.count == 1);
}

TEST_CASE("a channel comes in kg by the rated output", "[field]") {
    scale::Description d = field::per_cell_eight();
    d.gravity = 9.81;
    Reading empty;
    empty.quantity = Quantity::channel;
    empty.cell = 2;
    empty.is_ratio = true;
    empty.value = 1.0e-4;
    Reading loaded = empty;
    const field::Place at = field::over_support(d.deck, 2);
    loaded.load.standing[0] = {10000.0, at.x_m, at.y_m};
    loaded.load.count = 1;
    // 2 mV/V at 30 t under standard gravity: 10 t where g is 9.81 give 2e-3 (10/30) (9.81/9.80665) V/V.
    loaded.value = 1.0e-4 + 2.0e-3 / 3.0 * 9.81 / 9.80665;
    const auto input = input_of(d, {empty, loaded});
    CHECK(input.with_channels);
    REQUIRE(input.channels.known(2, 2));
    CHECK(input.channels.change_kg(2, 2) == Approx(10000.0).epsilon(1e-6));
    CHECK_FALSE(input.channels.known(2, 3));
}

TEST_CASE("what follows a zero that was set is read from it, and nothing before it was left", "[field]") {
    const scale::Description d = field::limp_eight();
    Reading zero_set = weight(0.0);
    zero_set.zero_set = true;
    const Reading first = weight_at(10060.0, 10000.0, field::over_support(d.deck, 0));
    const Reading second = weight_at(10000.0, 10000.0, field::over_support(d.deck, 1));
    // The display stood 60 kg off after the first support, until zero was set.
    const auto input = input_of(d, {weight(0.0), first, weight(60.0), zero_set, second, weight(20.0)});
    CHECK(input.unused.empty());
    CHECK(input.readings.corner(0).zero_kg == 0.0);
    CHECK(input.readings.corner(1).zero_kg == 0.0);
    CHECK(input.readings.corner(1).own_zero);
    CHECK(input.readings.returned().kg() - input.readings.empty().kg() == 20.0);
    const auto hidden = input_of(d, {weight(0.0), first, weight(60.0), zero_set});
    CHECK(hidden.readings.returned().count == 0);
}
