#include <catch2/catch.hpp>

#include "tests/circuit/weighbridge.h"

using namespace cornerbench;
using namespace cornerbench::oracle;
using scale::HomeWire;

namespace {

double& home_ohm(scale::Condition& c, HomeWire wire) {
    return c.home_run_ohm[static_cast<unsigned>(scale::index_of(wire))];
}

/// What eight cells with their trims at mid-turn load the bus with.
double load_ohm() {
    return (390.0 + 10.0 + 2.0 * (14.0 * 0.017241 / 0.3255 + 0.02)) / 8.0;
}

}  // namespace

TEST_CASE("an open sense wire falls back to the near terminal and reads low by one conductor's drop",
          "[circuit]") {
    // The reference then holds the drop of one excitation conductor too: r/(R_load + r), 1.8 % on 40 m.
    const scale::Condition sound = scale::sound_condition(weighbridge());
    const double r = 40.0 * 0.017241 / 0.75;
    const auto force_N = evenly(5000.0);
    const double healthy = output_under(sound, force_N);
    for (const HomeWire wire : {HomeWire::sense_plus, HomeWire::sense_minus}) {
        scale::Condition c = sound;
        home_ohm(c, wire) = open;
        const double low = output_under(c, force_N) / healthy;
        CHECK(low == Approx(load_ohm() / (load_ohm() + r)).epsilon(1.0e-5));
        CHECK(low < 0.99);
        CHECK(low > 0.98);

        c.sense_fallback_ohm = 0.0;
        const circuit::BoxOutput out = circuit::Box(c).output(ratios_under(c, force_N));
        CHECK(out.reference_missing);
        CHECK(out.ratio == 0.0);
    }
    scale::Condition unconnected = sound;
    unconnected.sense_fallback_ohm = 0.0;
    CHECK_FALSE(circuit::Box(unconnected).output(ratios_under(unconnected, force_N)).reference_missing);
}

TEST_CASE("six wires measure past the home run, four wires lose its drop", "[circuit]") {
    scale::Description d = weighbridge();
    const auto force_N = evenly(5000.0);
    d.home_run_m = 0.0;
    const double at_the_box = output_under(scale::sound_condition(d), force_N);
    d.home_run_m = 200.0;
    // 100 kohm from the near terminal into a sense conductor: r/100k of the drop leaks into the reference.
    CHECK(output_under(scale::sound_condition(d), force_N) == Approx(at_the_box).epsilon(1.0e-5));
    d.home_run_wires = 4;
    const double r = 200.0 * 0.017241 / 0.75;
    CHECK(output_under(scale::sound_condition(d), force_N) / at_the_box ==
          Approx(load_ohm() / (load_ohm() + 2.0 * r)).epsilon(1.0e-5));
}

TEST_CASE("low excitation leaves the ratio untouched, until the reference is gone", "[circuit]") {
    // Both converter inputs see the same factor: the point of a ratiometric measurement.
    scale::Condition c = scale::sound_condition(weighbridge());
    const auto force_N = evenly(5000.0);
    const double healthy = output_under(c, force_N);
    for (const double volt : {9.7, 5.0, 2.0, 0.6}) {
        c.excitation_V = volt;
        const circuit::Box box(c);
        const circuit::BoxOutput out = box.output(ratios_under(c, force_N));
        CHECK(out.ratio == Approx(healthy).epsilon(1.0e-12));
        CHECK(out.reference_V < volt);
        CHECK(circuit::excitation_at_indicator_V(box, ratios_under(c, force_N)) ==
              Approx(volt).epsilon(1.0e-12));
    }
}

TEST_CASE("volts at the box and at a cell's wires are those of a voltage divider", "[circuit]") {
    const scale::Condition c = scale::sound_condition(weighbridge());
    const circuit::Box box(c);
    const double r = 40.0 * 0.017241 / 0.75;
    const double at_box = 10.0 * load_ohm() / (load_ohm() + 2.0 * r);
    CHECK(circuit::excitation_in_box_V(box, Ratios{}) == Approx(at_box).epsilon(1.0e-6));
    // The wires of cell 4 stand behind its trim and two screws.
    const double cable = 14.0 * 0.017241 / 0.3255;
    const double wires = at_box * (390.0 + 2.0 * cable) / (8.0 * load_ohm());
    CHECK(circuit::excitation_at_cell_V(box, c, 3, Ratios{}) == Approx(wires).epsilon(1.0e-6));
}

TEST_CASE("a short across one cell's excitation takes the reference down for all", "[circuit]") {
    // 0.05 ohm behind two conductors, two screws and the trim at its zero end: 1.6 ohm beside 50 ohm, fed
    // through 1.84 ohm and a supply of 10 ohm in each pole.
    scale::Description d = weighbridge();
    d.source_ohm = 10.0;
    d.cells[0].trim_at = 0.0;
    scale::Condition c = scale::sound_condition(d);
    c.cells[0].leaks[0] = {scale::Wire::excitation_plus, scale::Wire::excitation_minus, 0.05};
    c.cells[0].leak_count = 1;
    const circuit::BoxOutput out = circuit::Box(c).output(ratios_under(c, evenly(5000.0)));
    const double cable = 14.0 * 0.017241 / 0.3255 + 0.02;
    const double others = 400.0 + 2.0 * cable;
    const double shorted = 2.0 * cable + 0.05;
    const double bus = 1.0 / (7.0 / others + 1.0 / shorted);
    const double r = 40.0 * 0.017241 / 0.75;
    CHECK(out.reference_V == Approx(10.0 * bus / (bus + 2.0 * r + 20.0)).epsilon(1.0e-3));
    CHECK_FALSE(out.reference_missing);
    d.source_ohm = 50.0;
    c.source_ohm = 50.0;
    CHECK(circuit::Box(c).output(ratios_under(c, evenly(5000.0))).reference_missing);
}

TEST_CASE("a supply below a twentieth of its rating leaves no reference", "[circuit]") {
    // Where the reference goes missing is common practice, no source: a share of what the supply ought to
    // give.
    const scale::Description d = weighbridge();
    const auto force_N = evenly(5000.0);
    const double sound = output_under(scale::sound_condition(d), force_N);
    for (const double share : {0.9, 0.2, 0.06, 0.04, 1.0e-4}) {
        scale::Condition c = scale::sound_condition(d);
        scale::Fault low;
        low.cause = scale::Cause::excitation_low;
        low.magnitude[0] = share * d.excitation_V;
        scale::apply(low, d, c);
        const circuit::BoxOutput out = circuit::Box(c).output(ratios_under(c, force_N));
        CAPTURE(share);
        CHECK(out.reference_missing == (share < 0.05));
        // Ratiometric: what is left of the supply divides out.
        if (!out.reference_missing) CHECK(out.ratio == Approx(sound).epsilon(1.0e-9));
    }
}

TEST_CASE("a supply conductor that has come apart leaves the box what its resistance lets through",
          "[circuit]") {
    const scale::Description d = weighbridge();
    for (const double ohm : {1.0e2, 1.0e4}) {
        scale::Fault loose;
        loose.cause = scale::Cause::home_run_loose;
        loose.variant.home_wire = scale::HomeWire::excitation_plus;
        loose.magnitude[0] = ohm;
        scale::Condition c = scale::sound_condition(d);
        // No second way around by the sense conductor.
        c.sense_fallback_ohm = 0.0;
        const double r = 2.0 * c.home_run_ohm[0];
        scale::apply(loose, d, c);
        const auto ratios = ratios_under(c, evenly(5000.0));
        CAPTURE(ohm);
        // Voltage divider of the bridges in parallel, the copper and the joint.
        CHECK(circuit::excitation_in_box_V(circuit::Box(c), ratios) ==
              Approx(d.excitation_V * load_ohm() / (load_ohm() + r + ohm)).epsilon(1.0e-3));
        CHECK(circuit::Box(c).output(ratios).reference_missing == (ohm > 20.0 * load_ohm()));
    }
}
