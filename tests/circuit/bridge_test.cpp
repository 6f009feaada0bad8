#include <catch2/catch.hpp>

#include "firmware/circuit/lifted_cell.h"
#include "tests/circuit/weighbridge.h"

// Bridge formulas: Modern Strain Gage Technology, ch. 26, 27 and 29. Values marked "calc" are those formulas
// worked out by hand.

using namespace cornerbench;
using namespace cornerbench::oracle;
using scale::Wire;

namespace {

double output(const scale::Condition& c, const Ratios& ratios) {
    return circuit::Box(c).output(ratios).ratio;
}

}  // namespace

TEST_CASE("one arm changed by x reads x/(4 + 2x), two opposite ones x/2, four x", "[circuit]") {
    // Gauge factor 2.00 at 1000 microstrain: 500 uV/V by the linear rule, 499.5005 uV/V exactly.
    const double x = 2.00 * 1000.0e-6;
    scale::Condition c = single_bridge(350.0);
    auto& arms = c.cells[0].arm_change_ohm;

    arms = {0.0, 350.0 * x, 0.0, 0.0};
    CHECK(output(c, {}) == Approx(499.5005e-6).epsilon(1.0e-7));
    CHECK(output(c, {}) == Approx(x / (4.0 + 2.0 * x)).epsilon(1.0e-12));
    arms = {-350.0 * x, 350.0 * x, 0.0, 0.0};
    CHECK(output(c, {}) == Approx(x / 2.0).epsilon(1.0e-12));
    arms = {-350.0 * x, 350.0 * x, -350.0 * x, 350.0 * x};
    CHECK(output(c, {}) == Approx(x).epsilon(1.0e-12));
    arms = {};
    CHECK(output(c, {x}) == Approx(x).epsilon(1.0e-12));
}

TEST_CASE("a shunt over one arm of a balanced bridge reads -R/(4 Rs + 2 R)", "[circuit]") {
    struct Published {
        double shunt_ohm, mV_per_V;
    };
    for (const auto& [shunt, mV_per_V] : {Published{59.0e3, 1.478665}, Published{100.0e3, 0.873471},  // calc
                                          Published{10.0e3, 8.599509}, Published{200.0e3, 0.437118}}) {
        CAPTURE(shunt);
        const double exact = 350.0 / (4.0 * shunt + 2.0 * 350.0);
        CHECK(1.0e3 * exact == Approx(mV_per_V).margin(5.0e-7));
        struct Arm {
            Wire a, b;
            double sign;
        };
        for (const Arm& arm : {Arm{Wire::excitation_plus, Wire::signal_plus, 1.0},
                               Arm{Wire::signal_plus, Wire::excitation_minus, -1.0},
                               Arm{Wire::excitation_minus, Wire::signal_minus, 1.0},
                               Arm{Wire::signal_minus, Wire::excitation_plus, -1.0}}) {
            scale::Condition c = single_bridge(350.0);
            c.cells[0].leaks[0] = {arm.a, arm.b, shunt};
            c.cells[0].leak_count = 1;
            CHECK(output(c, {}) == Approx(arm.sign * exact).epsilon(1.0e-11));
        }
    }
    // A shunt of 168 732 ohm imitates 1000 microstrain of compression on 350 ohm at gauge factor 2.07 (calc).
    scale::Condition shunted = single_bridge(350.0);
    shunted.cells[0].leaks[0] = {Wire::signal_plus, Wire::excitation_minus, 168732.0};
    shunted.cells[0].leak_count = 1;
    scale::Condition compressed = single_bridge(350.0);
    compressed.cells[0].arm_change_ohm[1] = -350.0 * 2.07 * 1000.0e-6;
    CHECK(output(shunted, {}) == Approx(output(compressed, {})).epsilon(3.0e-6));
}

TEST_CASE("two leads r into a full bridge leave R/(R + 2r) of its output", "[circuit]") {
    scale::Condition c = single_bridge(350.0);
    c.cells[0].cable_m = 1.0;
    c.cells[0].cable_ohm_per_m = 1.0;
    const double left = output(c, {2.0e-3}) / 2.0e-3;
    CHECK(left == Approx(0.9943182).margin(5.0e-8));  // calc
    CHECK(left == Approx(350.0 / 352.0).epsilon(1.0e-12));
}

TEST_CASE("bridges in parallel weigh each other by their conductances", "[circuit]") {
    // 2.0, 1.0, 1.0, 0.5 mV/V behind 350, 360, 350, 340 ohm: 1.12127399 mV/V behind 87.4643 ohm (calc).
    const std::array<double, 4> ohm{350.0, 360.0, 350.0, 340.0};
    const Ratios ratios{2.0e-3, 1.0e-3, 1.0e-3, 0.5e-3};
    scale::Condition c = single_bridge(350.0);
    c.cell_count = 4;
    for (unsigned i = 0; i < 4; ++i) {
        c.cells[i].input_ohm = ohm[i];
        c.cells[i].output_ohm = ohm[i];
    }
    const double sum = output(c, ratios);
    // An arm at R (1 + delta) beside one at R (1 - delta) makes each bridge's own output resistance
    // R (1 - delta^2): up to 4e-6 less than the rule's R.
    CHECK(sum == Approx(1.12127399e-3).epsilon(2.0e-6));
    double siemens = 0.0;
    double ampere = 0.0;
    for (unsigned i = 0; i < 4; ++i) {
        const double g = 1.0 / (ohm[i] * (1.0 - ratios[i] * ratios[i]));
        siemens += g;
        ampere += g * ratios[i];
    }
    CHECK(sum == Approx(ampere / siemens).epsilon(1.0e-12));

    // The 10 Mohm meter divides with the output resistance.
    const double metered = circuit::signal_in_box_V(circuit::Box(c), 0, ratios) / c.excitation_V;
    const double output_ohm = 1.0e7 * (sum / metered - 1.0);
    CHECK(output_ohm == Approx(87.4643).epsilon(1.0e-5));
}

TEST_CASE("a lifted cell shows its resistances with two conductors in series", "[circuit]") {
    // A balanced bridge of four R has R between opposite corners and 3R/4 between neighbours; R_in and R_out
    // are quoted at the cell, and each wire brings a conductor.
    scale::Condition c = scale::sound_condition(bare());
    const scale::CellCondition& cell = c.cells[0];
    const double conductor = 14.0 * 0.017241 / 0.3255;
    const circuit::LiftedCell lifted(cell);
    CHECK(lifted.resistance_ohm(Wire::excitation_plus, Wire::excitation_minus, 0.0) ==
          Approx(390.0 + 2.0 * conductor).epsilon(1.0e-12));
    CHECK(lifted.resistance_ohm(Wire::signal_plus, Wire::signal_minus, 0.0) ==
          Approx(350.0 + 2.0 * conductor).epsilon(1.0e-12));
    for (const Wire e : {Wire::excitation_plus, Wire::excitation_minus}) {
        for (const Wire s : {Wire::signal_plus, Wire::signal_minus}) {
            CHECK(lifted.resistance_ohm(e, s, 0.0) ==
                  Approx(0.75 * 350.0 + 20.0 + 2.0 * conductor).epsilon(1.0e-12));
        }
    }
    CHECK(std::isinf(lifted.resistance_ohm(Wire::shield, Wire::signal_plus, 0.0)));
}

TEST_CASE("a lifted cell with its cable as delivered reads its rated output at capacity", "[circuit]") {
    // A four-wire cell is rated with its cable (common practice, no source). The 10 Mohm meter takes
    // (R_out + 2 r) / 10 Mohm of it.
    const scale::Condition c = scale::sound_condition(bare());
    const double conductor = 14.0 * 0.017241 / 0.3255;
    const double rated_N = 30000.0 * 9.80665;
    const double read =
        circuit::LiftedCell(c.cells[0]).signal_ratio(circuit::bridge_ratio(c.cells[0], rated_N));
    CHECK(read == Approx(2.0e-3 / (1.0 + (350.0 + 2.0 * conductor) / 1.0e7)).epsilon(1.0e-9));
}

TEST_CASE("a cell's open-circuit ratio follows its data sheet", "[circuit]") {
    scale::CellCondition cell;
    cell.capacity_kg = 30000.0;
    cell.sensitivity_V_per_V = 2.0e-3;
    cell.input_ohm = 400.0;
    cell.output_ohm = 350.0;
    const double rated_N = 30000.0 * 9.80665;
    CHECK(circuit::bridge_ratio(cell, rated_N) == Approx(2.0e-3).epsilon(1.0e-14));
    CHECK(circuit::bridge_ratio_per_N(cell) * rated_N == Approx(2.0e-3).epsilon(1.0e-14));

    // Rated behind 2 ohm of cable, twice: 1 % more at the cell's own terminals.
    cell.delivered_cable_m = 20.0;
    cell.delivered_cable_ohm_per_m = 0.1;
    CHECK(circuit::bridge_ratio(cell, rated_N) == Approx(2.02e-3).epsilon(1.0e-14));
    cell.delivered_cable_m = 0.0;

    cell.zero_V_per_V = 1.0e-5;
    CHECK(circuit::bridge_ratio(cell, 0.0) == Approx(1.0e-5));
    cell.orientation = -1.0;
    CHECK(circuit::bridge_ratio(cell, rated_N) == Approx(-1.99e-3).epsilon(1.0e-14));
    cell.orientation = 1.0;
    cell.zero_V_per_V = 0.0;

    // Departures from the straight line are quoted over rated output in mid range, and vanish at both ends.
    cell.nonlinearity = 1.0e-3;
    CHECK(circuit::bridge_ratio(cell, 0.5 * rated_N) == Approx(1.002e-3).epsilon(1.0e-14));
    CHECK(circuit::bridge_ratio(cell, rated_N) == Approx(2.0e-3).epsilon(1.0e-14));
    cell.nonlinearity = 0.0;
    cell.hysteresis = 5.0e-4;
    CHECK(circuit::bridge_ratio(cell, 0.5 * rated_N, 1.0) == Approx(1.001e-3).epsilon(1.0e-14));
    CHECK(circuit::bridge_ratio(cell, 0.5 * rated_N, 0.0) == Approx(1.0e-3).epsilon(1.0e-14));
    cell.hysteresis = 0.0;
    cell.creep = 2.0e-4;
    CHECK(circuit::bridge_ratio(cell, 0.5 * rated_N, 0.0, 1.0) == Approx(1.0002e-3).epsilon(1.0e-14));
    cell.creep = 0.0;

    cell.temperature_C = 30.0;
    cell.zero_per_K = 1.0e-4;
    CHECK(circuit::bridge_ratio(cell, 0.0) == Approx(2.0e-6).epsilon(1.0e-14));
    cell.zero_per_K = 0.0;
    cell.span_per_K = -1.0e-4;
    CHECK(circuit::bridge_ratio(cell, rated_N) == Approx(1.998e-3).epsilon(1.0e-14));
}
