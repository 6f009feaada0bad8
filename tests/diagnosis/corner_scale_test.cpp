#include "firmware/diagnosis/corner_scale.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "firmware/circuit/box.h"
#include "tests/circuit/weighbridge.h"

using namespace cornerbench;
using diagnosis::CornerScale;
using diagnosis::History;

namespace {

/// Gain of cell 0's corner over the mean of the others', by the whole circuit.
double relative_gain(const scale::Condition& c) {
    double others = 0.0;
    for (int i = 1; i < c.cell_count; ++i) others += oracle::corner(c, i) / (c.cell_count - 1);
    return oracle::corner(c, 0) / others;
}

double change(const scale::Condition& sound, const scale::Condition& moved) {
    return std::fabs(relative_gain(moved) / relative_gain(sound) - 1.0);
}

double root_of_squares(double a, double b, double c) {
    return std::sqrt(a * a + b * b + c * c);
}

/// One cell's corner as bought, by the whole circuit: half-widths of an even spread over root 3.
double bought_spread(const scale::Description& d) {
    const scale::Condition sound = scale::sound_condition(d);
    scale::Condition sensitivity = sound;
    scale::Condition input = sound;
    scale::Condition output = sound;
    sensitivity.cells[0].sensitivity_V_per_V *= 1.0 + d.cells[0].rated_output_tolerance;
    input.cells[0].input_ohm *= 1.0 + d.cells[0].input_tolerance;
    output.cells[0].output_ohm *= 1.0 + d.cells[0].output_tolerance;
    return root_of_squares(change(sound, sensitivity), change(sound, input), change(sound, output)) /
           std::sqrt(3.0);
}

double gain_of(const scale::Description& d, History history) {
    return diagnosis::corner_scale(d, {}, history).gain[0];
}

}  // namespace

TEST_CASE("cells anywhere in tolerance spread a corner as the circuit says", "[corner check]") {
    scale::Description plain = oracle::untrimmed();
    scale::Description series = oracle::weighbridge();
    scale::Description mixing = oracle::untrimmed();
    mixing.trim.mixing_ohm = 1000.0;
    scale::Description shunt = oracle::weighbridge();
    shunt.trim = {scale::TrimKind::signal_shunt, 200.0e3, 25.0, 20.0e3, 1000.0};
    for (const scale::Description& d : {plain, series, mixing, shunt}) {
        CHECK(gain_of(d, History::unadjusted) == Approx(bought_spread(d)).epsilon(0.03));
    }
    // Without a trim there is nothing to calibrate; a shunt without mixing resistors is none (common
    // practice, no source).
    CHECK(gain_of(plain, History::calibrated) == gain_of(plain, History::unadjusted));
    scale::Description useless = shunt;
    useless.trim.mixing_ohm = 0.0;
    CHECK(gain_of(useless, History::calibrated) == gain_of(useless, History::unadjusted));
}

TEST_CASE("a trim left a little off moves its corner as the circuit says", "[corner check]") {
    const diagnosis::Scatter scatter;
    scale::Description series = oracle::weighbridge();
    scale::Condition sound = scale::sound_condition(series);
    scale::Condition off = sound;
    off.positions[0].trim_at += scatter.trim_left_turns;
    CHECK(gain_of(series, History::calibrated) == Approx(change(sound, off)).epsilon(0.05));

    series.trim.turns = 0.0;
    sound = scale::sound_condition(series);
    off = sound;
    off.positions[0].trim_at += scatter.trim_left_ohm * series.trim.total_ohm;
    CHECK(gain_of(series, History::calibrated) == Approx(change(sound, off)).epsilon(0.05));
}

TEST_CASE("a shunt counts at least as much as where it stands, and as it ends for the strongest cell",
          "[corner check]") {
    const diagnosis::Scatter scatter;
    for (const double at : {0.0, 5.0, 12.5, 25.0}) {
        scale::Description shunt = oracle::weighbridge();
        shunt.trim = {scale::TrimKind::signal_shunt, 200.0e3, 25.0, 20.0e3, 1000.0};
        for (scale::Cell& cell : shunt.cells) cell.trim_at = at;
        const scale::Condition sound = scale::sound_condition(shunt);
        scale::Condition off = sound;
        off.positions[0].trim_at += at > 12.0 ? -scatter.trim_left_turns : scatter.trim_left_turns;
        INFO("at turn " << at);
        CHECK(gain_of(shunt, History::calibrated) >= 0.75 * change(sound, off));

        // A cell at the strong end of both its tolerances, brought down to the others by its own trim.
        scale::Condition strong = sound;
        strong.cells[0].sensitivity_V_per_V *= 1.0 + shunt.cells[0].rated_output_tolerance;
        strong.cells[0].output_ohm *= 1.0 - shunt.cells[0].output_tolerance;
        double low = 0.0;
        double high = at;
        for (int halving = 0; halving < 50; ++halving) {
            strong.positions[0].trim_at = 0.5 * (low + high);
            (relative_gain(strong) > relative_gain(sound) ? high : low) = strong.positions[0].trim_at;
        }
        off = strong;
        off.positions[0].trim_at += scatter.trim_left_turns;
        CHECK(gain_of(shunt, History::calibrated) >= 0.75 * change(strong, off));
    }
}

TEST_CASE("a per-cell box has digital corner gains", "[corner check]") {
    scale::Description d = oracle::untrimmed();
    d.converter = scale::Converter::per_cell;
    d.max_kg = 60000.0;
    const diagnosis::Scatter scatter;
    CHECK(gain_of(d, History::calibrated) == scatter.trim_left_gain);
    // No bus: resistances do not count, and 0.1 % even spread is 0.1 / root 3 (JCGM 100:2008, 4.3.7).
    CHECK(gain_of(d, History::unadjusted) == Approx(1.0e-3 / std::sqrt(3.0)));
    const CornerScale c = diagnosis::corner_scale(d, {}, History::calibrated);
    // 30 t per 2 mV/V: 6e-8 V/V are 0.9 kg.
    CHECK(c.channel_kg == Approx(0.9).epsilon(1e-6));
}

TEST_CASE("the round's own uncertainties come from the instruments", "[corner check]") {
    scale::Description d = oracle::weighbridge();
    d.division_kg = 20.0;
    diagnosis::Instruments with;
    with.repeatability_divisions = 0.5;
    with.placing_m = 0.1;
    with.test_weights = 3.0e-4;
    diagnosis::Scatter scatter;
    scatter.span_calibrated = 4.0e-4;
    const CornerScale c = diagnosis::corner_scale(d, with, History::calibrated, scatter);
    CHECK(c.repeatability_kg == Approx(10.0));
    CHECK(c.resolution_kg == 20.0);
    CHECK(c.placing_m == 0.1);
    CHECK(c.span == Approx(5.0e-4));
    CHECK(diagnosis::corner_scale(d, with, History::unadjusted, scatter).span > 1.0e-3);
}
