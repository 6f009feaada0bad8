#include <catch2/catch.hpp>

#include <array>
#include <cmath>

#include "sim/field/simulated_sheet.h"
#include "sim/files/cell_standard_file.h"
#include "tests/field/field_scales.h"

using namespace cornerbench;
using namespace cornerbench::field;

namespace {

SheetSetting rich() {
    SheetSetting setting;
    setting.unmodelled = rich_world;
    return setting;
}

}  // namespace

// OIML R 60-1:2021: class C with 3 000 intervals, p_LC as usual, v_min Emax / 12 000 at the least. A bow,
// from the straight line through three quarters, and a loop, each alone at any load, and both at mid range;
// at 500 v the largest of both the same way would pass the limit by a fifth.
TEST_CASE("Cells of the rich world are within their class", "[field]") {
    constexpr double intervals = 3000.0;
    constexpr double least_v_min = 1.0 / 12000.0;
    const auto r60 = files::find_cell_standard("OIML R 60", CORNERBENCH_SOURCE_DIR "/configs/scales/x.toml");
    REQUIRE(r60);
    const files::CellClass* of_class = r60.value->find_class("C");
    REQUIRE(of_class != nullptr);
    const auto limit = [&](double load) {
        return r60.value->usual_share * scale::limit_divisions(of_class->limits, load * intervals) /
               intervals;
    };
    for (const double load : {500.0 / intervals, 0.375, 2000.0 / intervals, 1.0}) {
        CHECK(rich_world.nonlinearity * 4.0 * load * std::fabs(r60.value->straight_through - load) <
              limit(load));
        CHECK(rich_world.hysteresis * 4.0 * load * (1.0 - load) < limit(load));
    }
    CHECK(rich_world.nonlinearity * 2.0 * (r60.value->straight_through - 0.5) + rich_world.hysteresis <
          limit(0.5));
    CHECK(rich_world.creep < r60.value->creep_limit_errors * limit(1.0));
    CHECK(rich_world.zero_per_K * of_class->zero_warmth_K < r60.value->usual_share * least_v_min * 1.05);
    const scale::Description d = stiff_eight();
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Specimen specimen =
            draw_specimen(d, diagnosis::History::calibrated, Scatter{}, seed, rich_world);
        for (int i = 0; i < d.cell_count(); ++i) {
            const scale::CellCondition& cell = specimen.condition.cells[static_cast<unsigned>(i)];
            CHECK(std::fabs(cell.nonlinearity) <= rich_world.nonlinearity);
            CHECK(std::fabs(cell.hysteresis) <= rich_world.hysteresis);
            CHECK(std::fabs(cell.creep) <= rich_world.creep);
            CHECK(cell.nonlinearity != 0.0);
            CHECK(cell.temperature_C != 20.0);
        }
    }
}

TEST_CASE("A rich world shows in the readings and leaves a sheet of the same form", "[field]") {
    const scale::Description d = stiff_eight();
    int differ = 0;
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        const SimulatedSheet plain = simulate_sheet(d, {}, seed);
        const SimulatedSheet rough = simulate_sheet(d, {}, seed, {}, rich());
        REQUIRE(rough.readings.size() == plain.readings.size());
        for (std::size_t i = 0; i < plain.readings.size(); ++i) {
            CHECK(rough.readings[i].quantity == plain.readings[i].quantity);
            differ += rough.readings[i].value != plain.readings[i].value ? 1 : 0;
        }
    }
    CHECK(differ > 100);
}

// The shape is the one of cell_network.h: at half the capacity all of the hysteresis shows, and creep is a
// part of the live output. The cable has a share of 0.4 % in the sensitivity that hysteresis does not have.
TEST_CASE("What a cell remembers shows in the weight as its definition says", "[field]") {
    scale::Description d = limp_eight();
    d.deck.mass_kg = 1.0;
    scale::Condition c = scale::sound_condition(d);
    constexpr double hysteresis = 2.0e-4;
    constexpr double creep = 3.0e-4;
    for (int i = 0; i < c.cell_count; ++i) {
        c.cells[static_cast<unsigned>(i)].hysteresis = hysteresis;
        c.cells[static_cast<unsigned>(i)].creep = creep;
    }
    weighing::StillScale scale(d, c);
    const weighing::ZeroAndSpan set = scale.calibrate(0.5 * d.max_kg);
    constexpr double half_capacity_kg = 15000.0;
    std::array<mechanics::PointLoad, 8> loads{};
    for (int i = 0; i < 8; ++i) {
        loads[static_cast<unsigned>(i)] = {d.deck.section_x_m[static_cast<unsigned>(i < 4 ? i : 7 - i)],
                                           i < 4 ? d.deck.width_m : 0.0, half_capacity_kg * c.gravity};
    }
    scale.put(loads);
    const double up = scale.read(set).weight_kg;
    scale.remember(1.0, 0.0);
    CHECK(scale.read(set).weight_kg - up == Approx(8.0 * hysteresis * 30000.0).epsilon(5.0e-3));
    scale.remember(0.0, 0.5);
    CHECK(scale.read(set).weight_kg - up == Approx(8.0 * 0.5 * creep * half_capacity_kg).epsilon(2.0e-3));
    scale.remember(0.0, 0.0);
    CHECK(scale.read(set).weight_kg == up);
}
