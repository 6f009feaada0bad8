#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include "tests/world/random_fault.h"
#include "tests/world/yard.h"

using namespace cornerbench;
using namespace cornerbench::tests;

namespace {

/// Most that any sample is off the exact circuit while a vehicle drives over, in divisions.
double worst_on_the_way(const scale::Description& d, const scale::Condition& c, bool& weighed) {
    world::Surroundings s = world::calm(d);
    s.converter_noise = false;
    s.wind.speed_m_per_s = 8.0;
    world::World yard(d, c, 3, s);
    world::Approach approach;
    approach.speed_m_per_s = 8.0;
    files::Vehicle heavy = tipper();
    for (files::Axle& axle : heavy.axles) axle.mass_kg *= 0.5 * d.max_kg / 25600.0;
    yard.drive_on(heavy, approach);
    const circuit::Box exact(yard.condition());
    const bool per_cell = d.converter == scale::Converter::per_cell;
    const double one = d.division_kg * d.cells[0].rated_output_V_per_V / d.cells[0].capacity_kg /
                       (per_cell ? 1 : d.cell_count());
    double worst = 0.0;
    world::CellsInTime cells(yard.condition(), yard.truth().cell_N, 0.01);
    while (!yard.empty()) {
        yard.step();
        cells.step(yard.truth().cell_N);
        const circuit::BoxOutput quick = yard.truth().output;
        const circuit::BoxOutput full = exact.output(cells.ratios());
        if (quick.reference_missing != full.reference_missing) return 1.0e9;
        worst = std::max(worst, std::fabs(quick.ratio - full.ratio) / one);
        for (int i = 0; per_cell && i < d.cell_count(); ++i) {
            const auto at = static_cast<unsigned>(i);
            worst = std::max(worst, std::fabs(quick.channel[at] - full.channel[at]) / one);
        }
        weighed = weighed || !full.reference_missing;
    }
    return worst;
}

}  // namespace

TEST_CASE("read off the tangent, no sample is a thousandth of a division off the circuit", "[world]") {
    // circuit::Box::output, itself held to ngspice and to dense nodal analysis.
    double worst = 0.0;
    for (int number = 0; number < 36; ++number) {
        INFO("scale " << number);
        Draw draw(static_cast<std::uint64_t>(number) + 9000);
        scale::Description d = random_description(draw, static_cast<Adjusting>(number % adjusting_count));
        turn_trims_at_random(draw, 0.1, 0.9, d);
        bool weighed = false;
        const double off = worst_on_the_way(d, random_sample(draw, d), weighed);
        CHECK(off < 1.0e-3);
        CHECK(weighed);
        worst = std::max(worst, off);
    }
    // The tangent is really used: with exact solutions alone this would be rounding.
    CHECK(worst > 1.0e-9);
}

TEST_CASE("nor with any fault of the circuit in it", "[world]") {
    for (int cause = 0; cause < scale::cause_count; ++cause) {
        for (int number = 0; number < 4; ++number) {
            Draw draw(static_cast<std::uint64_t>(100 * cause + number));
            scale::Description d = random_description(draw, static_cast<Adjusting>(draw.integer(0, 5)));
            turn_trims_at_random(draw, 0.1, 0.9, d);
            const auto which = static_cast<scale::Cause>(cause);
            if (!scale::possible(d, which)) continue;
            scale::Condition c = random_sample(draw, d);
            const scale::Fault fault = random_fault(draw, d, which);
            scale::apply(fault, d, c);
            if (world::DeckInTime(c).error() != mechanics::DeckError::none) continue;
            INFO(scale::name_of(which) << ", scale " << number);
            bool weighed = false;
            CHECK(worst_on_the_way(d, c, weighed) < 1.0e-2);
        }
    }
}
