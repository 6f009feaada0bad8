#include <catch2/catch.hpp>
#include <cmath>

#include "sim/spread/spread.h"
#include "tests/spread/one_tolerance.h"

// Cases that the textbook on parallel sources answers: N equal cells on one bus show the mean of their
// ratios, each weighted by the conductance that the bus sees of it, 1 / (R_out and what lies in its signal
// leads); and a resistance r in an excitation lead leaves R_in / (R_in + r) of the ratio.

using namespace cornerbench;
using namespace cornerbench::spread;
using field::PartTolerances;
using tests::only;
using tests::plain_scale;
using tests::test_kg;

namespace {

/// Of what lies evenly within plus and minus 1.
const double even = 1.0 / std::sqrt(3.0);

FirstOrder first_order(const scale::Description& d, const PartTolerances& t,
                       State state = State::as_delivered) {
    Chain chain(d, t, state, test_kg);
    REQUIRE(chain.valid());
    return Sensitivities(chain).first_order();
}

/// Of one conductor of a cell's cable as described, at 20 C.
double cable_ohm(const scale::Description& d) {
    return d.cells[0].cable_m * 0.017241 / d.cable_area_mm2;
}

/// Root mean square over the corners when each cell's own reading varies by `relative` (half-width) and all
/// others stay: a corner moves by its own less the mean of all.
double corner_deviation_kg(double relative, int n) {
    return even * test_kg * relative * std::sqrt(1.0 - 1.0 / n);
}

}  // namespace

TEST_CASE("output tolerances of N cells leave 1 / sqrt(N) of one on the span", "[spread]") {
    for (const int n : {4, 6, 8, 16}) {
        const FirstOrder first =
            first_order(plain_scale(n), only(&PartTolerances::rated_output_percent, 0.1));
        CAPTURE(n);
        CHECK(first.deviation.span == Approx(even * 1.0e-3 / std::sqrt(n)).epsilon(1.0e-3));
        CHECK(first.worst.span == Approx(1.0e-3).epsilon(1.0e-3));
        CHECK(first.deviation.corner_kg == Approx(corner_deviation_kg(1.0e-3, n)).epsilon(1.0e-3));
        // One cell up and one down, all others anywhere: they move both corners alike.
        CHECK(first.worst_spread_kg == Approx(2.0e-3 * test_kg).epsilon(2.0e-3));
        CHECK(first.deviation.zero_kg < 0.01 * test_kg);
    }
}

TEST_CASE("zero balances add up as loads on their cells would", "[spread]") {
    for (const int n : {4, 8}) {
        const scale::Description d = plain_scale(n);
        const FirstOrder first = first_order(d, only(&PartTolerances::zero_percent, 1.0));
        // A cell is rated with its cable and says so much more at its terminals; the zero does not.
        const double of_one =
            0.01 * d.cells[0].capacity_kg / (1.0 + 2.0 * cable_ohm(d) / d.cells[0].input_ohm);
        CAPTURE(n);
        CHECK(first.deviation.zero_kg ==
              Approx(even * of_one * std::sqrt(n) * scale::standard_gravity / d.gravity).epsilon(1.0e-3));
        CHECK(first.deviation.span < 1.0e-6);
    }
}

TEST_CASE("output resistances weigh the cells on the bus and leave the span alone", "[spread]") {
    const int n = 8;
    const scale::Description d = plain_scale(n);
    const FirstOrder first = first_order(d, only(&PartTolerances::output_resistance_percent, 0.1));
    const double source_ohm = d.cells[0].output_ohm + 2.0 * (cable_ohm(d) + d.contact_ohm);
    const double relative = 1.0e-3 * d.cells[0].output_ohm / source_ohm;
    CHECK(first.deviation.corner_kg == Approx(corner_deviation_kg(relative, n)).epsilon(0.01));
    CHECK(first.deviation.span < 0.01 * relative);
}

TEST_CASE("a trim in the excitation lead takes its share of the input resistance", "[spread]") {
    const int n = 6;
    scale::Description d = plain_scale(n);
    d.trim = {scale::TrimKind::excitation_series, 20.0, 25.0, 0.0, 0.0};
    for (scale::Cell& cell : d.cells) cell.trim_at = 10.0;
    const double lead_ohm = 2.0 * (cable_ohm(d) + d.contact_ohm) + 8.0;
    const double input_ohm = d.cells[0].input_ohm + lead_ohm;
    // Of one cell alone: the others hold its signal pair in their middle, so that one half of the bridge
    // feels the lead and the other does not.
    const double alone_ohm = input_ohm + 8.0;

    // As delivered, a potentiometer 10 % off stands at 8 ohm more or less 0.8.
    const FirstOrder crate = first_order(d, only(&PartTolerances::trim_percent, 10.0));
    CHECK(crate.deviation.corner_kg == Approx(corner_deviation_kg(0.8 / alone_ohm, n)).epsilon(0.01));
    CHECK(crate.deviation.span == Approx(even * 0.8 / input_ohm / std::sqrt(n)).epsilon(0.01));

    // Left over when trimmed: half a per cent of 20 ohm.
    const FirstOrder left = first_order(d, only(&PartTolerances::trim_setting_percent, 0.5), State::trimmed);
    CHECK(left.deviation.corner_kg == Approx(corner_deviation_kg(0.1 / alone_ohm, n)).epsilon(0.01));

    // 100 ppm/K over 20 K of the 8 ohm.
    PartTolerances warm = only(&PartTolerances::trim_ppm_per_K, 100.0);
    warm.temperature_K = 20.0;
    Chain chain(d, warm, State::as_delivered, test_kg);
    double drift_square = 0.0;
    const Sensitivities straight(chain);
    for (std::size_t v = 0; v < chain.variables().size(); ++v)
        if (chain.variables()[v].part == Part::trim_drift)
            drift_square += std::pow(straight.corners_kg(v)[0], 2.0);
    CHECK(even * std::sqrt(drift_square) ==
          Approx(corner_deviation_kg(8.0 * 100.0e-6 * 20.0 / alone_ohm, n)).epsilon(0.01));
}

TEST_CASE("nothing that was there when the corners were trimmed is left of them", "[spread]") {
    scale::Description d = plain_scale(6);
    d.trim = {scale::TrimKind::excitation_series, 20.0, 25.0, 0.0, 0.0};
    for (scale::Cell& cell : d.cells) cell.trim_at = 10.0;
    PartTolerances t;
    t.trim_setting_percent = t.temperature_K = 0.0;
    Chain chain(d, t, State::trimmed, test_kg);
    const Sensitivities straight(chain);
    for (const Sample& s : draw_samples(chain, straight, {64, 1})) {
        CHECK(s.spread_kg < 1.0e-3);
        CHECK(std::fabs(s.span) < 1.0e-9);
        CHECK(std::fabs(s.zero_kg) < 1.0e-3);
    }
}

// Copper's 0.00393 per kelvin at 20 C: IEC 60028, written down from memory.
TEST_CASE("copper's warmth takes its share of the excitation", "[spread]") {
    const double kelvin = 10.0;
    const int n = 4;
    for (const int wires : {4, 6}) {
        scale::Description d = plain_scale(n);
        d.home_run_wires = wires;
        d.home_run_m = 100.0;
        const double home_ohm = d.home_run_m * 0.017241 / d.home_run_area_mm2;
        const FirstOrder first = first_order(d, only(&PartTolerances::temperature_K, kelvin));
        const double cell_ohm = d.cells[0].input_ohm + 2.0 * (cable_ohm(d) + d.contact_ohm);
        // A cell's own cable is in series with it alone, a home run that nothing senses with all of them.
        const double cell_share = 2.0 * cable_ohm(d) / cell_ohm;
        const double run_share = wires == 4 ? 2.0 * home_ohm / (cell_ohm / n + 2.0 * home_ohm) : 0.0;
        CAPTURE(wires);
        CHECK(first.deviation.span ==
              Approx(even * 0.00393 * kelvin * (cell_share + run_share * (1.0 - cell_share))).epsilon(0.02));
        CHECK(first.deviation.corner_kg < 1.0e-3);
    }
}

TEST_CASE("a cable cut on site raises its cell, one that came longer does not", "[spread]") {
    const int n = 4;
    const scale::Description d = plain_scale(n);
    const FirstOrder cut = first_order(d, only(&PartTolerances::cable_cut_m, 2.0));
    const double ohm = 2.0 * 0.017241 / d.cable_area_mm2;
    const double cell_ohm = d.cells[0].input_ohm + 2.0 * (cable_ohm(d) + d.contact_ohm);
    // In the excitation leads; in the signal leads it weighs the cell besides.
    const double relative = 2.0 * ohm / cell_ohm + 2.0 * ohm / (d.cells[0].output_ohm + 2.0 * cable_ohm(d));
    CHECK(cut.deviation.corner_kg == Approx(corner_deviation_kg(relative, n)).epsilon(0.03));
    const FirstOrder longer = first_order(d, only(&PartTolerances::cable_length_percent, 10.0));
    CHECK(longer.deviation.span < 0.05 * even * 2.0 * 0.1 * cable_ohm(d) / cell_ohm);
}
