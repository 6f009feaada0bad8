#include <array>
#include <catch2/catch.hpp>

#include "firmware/scale/causes.h"
#include "firmware/weighing/still_scale.h"
#include "sim/field/places.h"
#include "tests/field/field_scales.h"

// What every technician expects of a scale: common practice, no source.

using namespace cornerbench;
using scale::Cause;
using scale::SiteKind;

namespace {

/// Weight, in kg, of `mass_kg` at `place` on the scale with `faults`, zeroed on its empty deck.
double shown_kg(const scale::Description& d, std::initializer_list<scale::Fault> faults, double mass_kg,
                field::Place place) {
    scale::Condition condition = scale::sound_condition(d);
    for (const scale::Fault& fault : faults) scale::apply(fault, d, condition);
    weighing::StillScale scale(d, condition);
    weighing::ZeroAndSpan calibration = weighing::sound_calibration(d);
    calibration.zero_ratio = scale.read(calibration).ratio;
    const std::array load{mechanics::PointLoad{place.x_m, place.y_m, mass_kg * d.gravity}};
    scale.put(load);
    return scale.read(calibration).weight_kg;
}

scale::Fault at_cell(Cause cause, int number, double magnitude = 0.0) {
    return {cause, {SiteKind::cell, number - 1, 0}, {}, {magnitude, 0.0}};
}

}  // namespace

TEST_CASE("a cell that works backwards takes twice its share away", "[trade]") {
    const scale::Description d = field::limp_eight();
    for (const Cause cause :
         {Cause::upside_down, Cause::signal_pair_swapped, Cause::excitation_pair_swapped}) {
        INFO(scale::name_of(cause));
        const scale::Fault fault = at_cell(cause, 3);
        // Over the cell its share of the load is all, midway across its section a half, elsewhere nothing.
        CHECK(shown_kg(d, {fault}, 10000.0, field::over_support(d.deck, 2)) ==
              Approx(-10000.0).epsilon(2e-3));
        CHECK(shown_kg(d, {fault}, 10000.0, field::over_section(d.deck, 2)) == Approx(0.0).margin(20.0));
        CHECK(shown_kg(d, {fault}, 10000.0, field::over_support(d.deck, 6)) == Approx(10000.0).epsilon(2e-3));
    }
}

TEST_CASE("something that touches the deck lowers the reading near it", "[trade]") {
    const scale::Description d = field::stiff_eight();
    const scale::Fault rubbing{Cause::rubbing, {SiteKind::support, 2, 0}, {}, {2.0e6, 5.0e3}};
    const double near_it = shown_kg(d, {rubbing}, 10000.0, field::over_support(d.deck, 2));
    const double far_from_it = shown_kg(d, {rubbing}, 10000.0, field::over_support(d.deck, 7));
    CHECK(near_it < 9900.0);
    CHECK(far_from_it > 9980.0);
}

TEST_CASE("supports count clockwise from the far left", "[trade]") {
    const scale::Description d = field::limp_eight();
    // A weak cell shows where the load is: the corner over it is low.
    const struct {
        int number;
        double x_m;
        double y_m;
    } corners[] = {{1, 0.0, 2.6}, {4, 18.0, 2.6}, {5, 18.0, 0.0}, {8, 0.0, 0.0}};
    for (const auto& corner : corners) {
        INFO("support " << corner.number);
        const scale::Fault weak = at_cell(Cause::weak_output, corner.number, 0.5);
        CHECK(shown_kg(d, {weak}, 10000.0, {corner.x_m, corner.y_m}) == Approx(5000.0).epsilon(2e-3));
        CHECK(shown_kg(d, {weak}, 10000.0, {6.0, 2.6}) == Approx(10000.0).epsilon(2e-3));
    }
}

TEST_CASE("a shorter cable raises its corner, a longer one lowers it", "[trade]") {
    const scale::Description d = field::limp_eight();
    const field::Place over = field::over_support(d.deck, 4);
    const double sound = shown_kg(d, {}, 10000.0, over);
    CHECK(shown_kg(d, {at_cell(Cause::altered_cable, 5, -10.0)}, 10000.0, over) > sound + 10.0);
    CHECK(shown_kg(d, {at_cell(Cause::altered_cable, 5, 10.0)}, 10000.0, over) < sound - 10.0);
}

TEST_CASE("a supply that sags leaves a ratiometric weight alone", "[trade]") {
    const scale::Description d = field::stiff_eight();
    const scale::Fault sag{Cause::excitation_low, {}, {}, {6.0, 0.0}};
    const field::Place over = field::over_support(d.deck, 1);
    CHECK(shown_kg(d, {sag}, 10000.0, over) == Approx(shown_kg(d, {}, 10000.0, over)).epsilon(1e-9));
}
