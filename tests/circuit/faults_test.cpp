#include <Eigen/Dense>
#include <catch2/catch.hpp>

#include "tests/circuit/weighbridge.h"

using namespace cornerbench;
using namespace cornerbench::oracle;
using scale::Cause;
using scale::Wire;

namespace {

/// Every cell takes part in 8 x 30 t at 2 mV/V: kg of deck load per V/V of the summed output.
constexpr double kg_per_ratio = 8.0 * 30000.0 / 2.0e-3;

scale::Condition with(const scale::Description& d, Cause cause, int cell, int variant = 0,
                      double magnitude = 0.0) {
    scale::Condition c = scale::sound_condition(d);
    scale::Fault fault;
    fault.cause = cause;
    fault.site = {scale::SiteKind::cell, cell, 0};
    fault.variant = scale::variant_at(d, cause, variant);
    fault.magnitude[0] = magnitude;
    scale::apply(fault, d, c);
    return c;
}

double conductor_ohm(const scale::Condition& c, int cell) {
    return c.cells[static_cast<unsigned>(cell)].cable_m *
           c.cells[static_cast<unsigned>(cell)].cable_ohm_per_m;
}

/// Share of the bus's excitation that each of eight balanced bridges gets when `extra_ohm` stands in its E+
/// lead. For what both signal wires have in common a cell is a star: from the bus's E+ and E- through lead,
/// compensation and two arms side by side to the signal pair, and from there through two conductors side by
/// side to the bus. The pairs of all cells meet there, so a cell whose E+ lead drops more is lifted by the
/// rest and loses a little less than its own divider says.
std::array<double, 8> bridge_excitation(const std::array<double, 8>& extra_ohm, double lead_ohm) {
    const double half = 0.5 * 350.0;
    const double bottom = lead_ohm + 20.0 + half;
    const double pair = 0.5 * lead_ohm;
    double siemens = 0.0;
    double ampere = 0.0;
    const auto own = [&](double top) { return bottom / (top + bottom) - 0.5; };
    const auto inside = [&](double top) { return top * bottom / (top + bottom) + pair; };
    for (const double extra : extra_ohm) {
        siemens += 1.0 / inside(bottom + extra);
        ampere += own(bottom + extra) / inside(bottom + extra);
    }
    std::array<double, 8> share{};
    for (unsigned i = 0; i < 8; ++i) {
        const double top = bottom + extra_ohm[i];
        const double into = (ampere / siemens - own(top)) / inside(top);
        const double middle = ampere / siemens - into * pair;
        share[i] = half * ((0.5 - middle) / top + (0.5 + middle) / bottom);
    }
    return share;
}

/// Differential volts on the bus per volt between the signal corners of `source`, when `extra_ohm` stands in
/// the S+ lead of cell `at`. Between its signal wires a balanced bridge has R_out; for what they have in
/// common, R_out/2 and one excitation lead with its compensation, for each.
double signal_transfer(int source, int at, double extra_ohm, double lead_ohm) {
    const double apart = 0.5 * 350.0 + lead_ohm;
    const double together = apart + 20.0 + lead_ohm;
    Eigen::Matrix2d sound;
    sound << together + apart, together - apart, together - apart, together + apart;
    sound *= 0.5;
    Eigen::Matrix2d loose = sound;
    loose(0, 0) += extra_ohm;
    const Eigen::Matrix2d bus = 7.0 * sound.inverse() + loose.inverse();
    const Eigen::Vector2d volt =
        bus.inverse() * ((source == at ? loose : sound).inverse() * Eigen::Vector2d(0.5, -0.5));
    return volt(0) - volt(1);
}

}  // namespace

TEST_CASE("a cell mounted against its arrow makes the sum low by twice its share", "[circuit]") {
    // Common practice, no source: it subtracts what it should add.
    const scale::Description d = weighbridge();
    auto force_N = evenly(5000.0);
    force_N[2] = 9000.0 * 9.80665;
    const double sound = output_under(scale::sound_condition(d), force_N);
    const double reversed = output_under(with(d, Cause::upside_down, 2), force_N);
    const double share = 9000.0 / (7.0 * 5000.0 + 9000.0);
    CHECK(reversed / sound == Approx(1.0 - 2.0 * share).epsilon(1.0e-6));
}

TEST_CASE("exchanging either pair of a cell negates it, exchanging both heals it", "[circuit]") {
    const auto force_N = evenly(10000.0);
    SECTION("alone at the converter, to the last digits") {
        scale::Condition sound = scale::sound_condition(bare());
        sound.cell_count = 1;
        const double ratio = output_under(sound, force_N);
        for (const Cause cause : {Cause::signal_pair_swapped, Cause::excitation_pair_swapped}) {
            scale::Condition c = with(bare(), cause, 0);
            c.cell_count = 1;
            CHECK(output_under(c, force_N) == Approx(-ratio).epsilon(1.0e-12));
        }
    }
    SECTION("among eight, low by twice its share, and both pairs alike") {
        const scale::Description d = untrimmed();
        const double sound = output_under(scale::sound_condition(d), force_N);
        const double signal = output_under(with(d, Cause::signal_pair_swapped, 5), force_N);
        const double excitation = output_under(with(d, Cause::excitation_pair_swapped, 5), force_N);
        CHECK(signal / sound == Approx(1.0 - 2.0 / 8.0).epsilon(1.0e-5));
        CHECK(excitation / sound == Approx(signal / sound).epsilon(1.0e-5));

        scale::Condition both = with(d, Cause::signal_pair_swapped, 5);
        scale::Fault second;
        second.cause = Cause::excitation_pair_swapped;
        second.site = {scale::SiteKind::cell, 5, 0};
        scale::apply(second, d, both);
        CHECK(output_under(both, force_N) / sound == Approx(1.0).epsilon(1.0e-7));
    }
    SECTION("the same exchange twice leaves no trace") {
        const scale::Description d = weighbridge();
        const double sound = output_under(scale::sound_condition(d), force_N);
        for (const Cause cause : {Cause::signal_pair_swapped, Cause::excitation_pair_swapped,
                                  Cause::crossed_pairs, Cause::upside_down}) {
            scale::Condition c = with(d, cause, 3);
            CHECK(output_under(c, force_N) != sound);
            scale::Fault again;
            again.cause = cause;
            again.site = {scale::SiteKind::cell, 3, 0};
            again.variant = scale::variant_at(d, cause, 0);
            scale::apply(again, d, c);
            CHECK(output_under(c, force_N) == sound);
        }
    }
}

TEST_CASE("equal cells that changed places show in weights only through their trims", "[circuit]") {
    scale::Description d = weighbridge();
    auto force_N = evenly(2000.0);
    force_N[1] = 12000.0 * 9.80665;
    scale::Fault swap;
    swap.cause = Cause::swapped_cells;
    swap.site = {scale::SiteKind::cell_pair, 1, 6};
    scale::Condition c = scale::sound_condition(d);
    const double sound = output_under(c, force_N);
    scale::apply(swap, d, c);
    CHECK(output_under(c, force_N) == Approx(sound).epsilon(1.0e-13));

    // Cell 2 lands on the trim of cell 7: 16 ohm more in its E+ lead, of about 400 ohm.
    d.cells[6].trim_at = 25.0;
    d.cells[1].trim_at = 5.0;
    d.input_ohm = open;
    c = scale::sound_condition(d);
    const double before = corner(c, 1);
    scale::apply(swap, d, c);
    const double lead = conductor_ohm(c, 1) + 0.02;
    const double trimmed = bridge_excitation({10.0, 4.0, 10.0, 10.0, 10.0, 10.0, 20.0, 10.0}, lead)[1];
    const double exchanged = bridge_excitation({10.0, 20.0, 10.0, 10.0, 10.0, 10.0, 4.0, 10.0}, lead)[1];
    CHECK(corner(c, 1) / before == Approx(exchanged / trimmed).epsilon(1.0e-6));
    CHECK(exchanged / trimmed == Approx(1.0 - 16.0 / 400.0).margin(0.003));
}

TEST_CASE("a cable cut shorter raises its own corner by what its conductors took", "[circuit]") {
    // The bridge gets E R_in/(R_in + 2 (r + contact)) and gives into the bus through R_out + 2 (r + contact).
    const scale::Description d = untrimmed();
    const scale::Condition sound = scale::sound_condition(d);
    const scale::Condition cut = with(d, Cause::altered_cable, 4, 0, -9.0);
    const double before = conductor_ohm(sound, 4) + 0.02;
    const double after = 5.0 * 0.017241 / 0.3255 + 0.02;
    const double into = (390.0 + 2.0 * before) / (390.0 + 2.0 * after);
    const double out_of = (350.0 + 2.0 * before) / (350.0 + 2.0 * after);
    // All other corners fall: more conductance on the bus for the same amperes.
    const double old_bus = 8.0 / (350.0 + 2.0 * before);
    const double new_bus = 7.0 / (350.0 + 2.0 * before) + 1.0 / (350.0 + 2.0 * after);
    CHECK(corner(cut, 4) / corner(sound, 4) == Approx(into * out_of * old_bus / new_bus).epsilon(1.0e-6));
    CHECK(corner(cut, 4) / corner(sound, 4) > 1.004);
    CHECK(corner(cut, 0) / corner(sound, 0) == Approx(old_bus / new_bus).epsilon(1.0e-6));
}

TEST_CASE("a loose terminal is a resistance in that lead and nothing else", "[circuit]") {
    const scale::Description d = bare();
    const scale::Condition sound = scale::sound_condition(d);
    const double lead = conductor_ohm(sound, 2) + 0.02;
    const double loose = 38.0;
    SECTION("in an excitation lead of a single cell: a divider") {
        for (const int variant : {0, 1}) {
            scale::Condition c = with(d, Cause::loose_terminal, 0, variant, loose);
            scale::Condition tight = sound;
            c.cell_count = 1;
            tight.cell_count = 1;
            CHECK(corner(c, 0) / corner(tight, 0) ==
                  Approx((390.0 + 2.0 * lead) / (390.0 + 2.0 * lead + loose)).epsilon(1.0e-7));
        }
    }
    SECTION("in an excitation lead of one of eight") {
        const auto weakened = bridge_excitation({0.0, 0.0, loose, 0.0, 0.0, 0.0, 0.0, 0.0}, lead);
        const auto whole = bridge_excitation({}, lead);
        for (const int variant : {0, 1}) {
            const scale::Condition c = with(d, Cause::loose_terminal, 2, variant, loose);
            CHECK(corner(c, 2) / corner(sound, 2) == Approx(weakened[2] / whole[2]).epsilon(1.0e-6));
            CHECK(corner(c, 3) / corner(sound, 3) == Approx(weakened[3] / whole[3]).epsilon(1.0e-6));
        }
        CHECK(weakened[2] / whole[2] == Approx(0.918).margin(0.001));
    }
    SECTION("in a signal lead of one of eight") {
        for (const int variant : {2, 3}) {
            const scale::Condition c = with(d, Cause::loose_terminal, 2, variant, loose);
            for (const int cell : {2, 3}) {
                CHECK(corner(c, cell) / corner(sound, cell) ==
                      Approx(signal_transfer(cell, 2, loose, lead) / signal_transfer(cell, 2, 0.0, lead))
                          .epsilon(1.0e-5));
            }
            CHECK(corner(c, 2) < 0.93 * corner(sound, 2));
            CHECK(corner(c, 3) > 1.01 * corner(sound, 3));
        }
    }
}

TEST_CASE("a weak cell loses its own share, a shifted zero moves every weight alike", "[circuit]") {
    const scale::Description d = untrimmed();
    const scale::Condition sound = scale::sound_condition(d);
    const scale::Condition weak = with(d, Cause::weak_output, 1, 0, 0.7);
    CHECK(corner(weak, 1) / corner(sound, 1) == Approx(0.7).epsilon(1.0e-6));
    CHECK(corner(weak, 2) / corner(sound, 2) == Approx(1.0).epsilon(1.0e-6));

    // 0.4 mV/V at one of eight cells' own terminals; the cable leaves 390/(390 + 2 r) of it.
    const scale::Condition shifted = with(d, Cause::shifted_zero, 1, 0, 0.4e-3);
    const double lead = conductor_ohm(sound, 1) + 0.02;
    const double moved = 0.4e-3 / 8.0 * 390.0 / (390.0 + 2.0 * lead);
    for (const double mass : {0.0, 8000.0}) {
        CHECK(output_under(shifted, evenly(mass)) - output_under(sound, evenly(mass)) ==
              Approx(moved).epsilon(1.0e-5));
    }
}

TEST_CASE("wet insulation from S+ to the shield weighs what the shield's bond lets through", "[circuit]") {
    // 100 kohm on one of eight cells. An ampere drawn from S+ alone is half a differential ampere through the
    // parallel R_out/8, so it takes R_out/16 volts from the signal. Computed design values.
    scale::Description d = weighbridge();
    const double volt_per_ampere = 350.0 / 16.0;
    const double kg_per_ampere = volt_per_ampere / d.excitation_V * kg_per_ratio;
    const auto shift_kg = [&](scale::ShieldBond bond) {
        d.shield_bond = bond;
        const auto force_N = evenly(5000.0);
        const scale::Condition sound = scale::sound_condition(d);
        const int s_plus_to_shield = 8;
        const scale::Condition wet = with(d, Cause::wet_leak, 3, s_plus_to_shield, 1.0e5);
        REQUIRE(wet.cells[3].leaks[0].a == Wire::signal_plus);
        REQUIRE(wet.cells[3].leaks[0].b == Wire::shield);
        return (output_under(wet, force_N) - output_under(sound, force_N)) * kg_per_ratio;
    };
    // Shield at E-: S+ stands at half the excitation above it.
    const double at_minus = shift_kg(scale::ShieldBond::excitation_minus);
    CHECK(at_minus == Approx(-5.0 / 1.0e5 * kg_per_ampere).epsilon(0.05));
    CHECK(at_minus == Approx(-13000.0).margin(700.0));
    // At mid-excitation: 10 ohm of trim in every E+ lead lowers S+ by half of what they drop.
    const double loop = 390.0 + 10.0 + 2.0 * (14.0 * 0.017241 / 0.3255 + 0.02);
    const double below_middle_V = 0.5 * 10.0 * 10.0 / loop;
    const double at_middle = shift_kg(scale::ShieldBond::midpoint);
    CHECK(at_middle == Approx(below_middle_V / 1.0e5 * kg_per_ampere).epsilon(0.06));
    // Floating: the current must come back through the insulation of all eight cells, 32 resistors of 20
    // gigohm, driven by no more than half the excitation.
    const double largest_A = 5.0 / (4.0 * 5.0e9 / 32.0);
    CHECK(std::fabs(shift_kg(scale::ShieldBond::floating)) < largest_A * kg_per_ampere);
    CHECK(largest_A * kg_per_ampere < 2.5);
}

TEST_CASE("a shunt trim without mixing resistors loads the common bus and trims no corner", "[circuit]") {
    scale::Description d = weighbridge();
    d.trim = {scale::TrimKind::signal_shunt, 200.0e3, 25.0, 20.0e3, 0.0};
    CHECK_FALSE(scale::possible(d, Cause::trim_off));
    scale::Condition c = scale::sound_condition(d);
    const double before_1 = corner(c, 0);
    const double before_2 = corner(c, 1);
    c.positions[0].trim_at = 1.0;
    CHECK(corner(c, 0) < 0.999 * before_1);
    CHECK(corner(c, 0) / corner(c, 1) == Approx(before_1 / before_2).epsilon(1.0e-9));
}

TEST_CASE("trims change a corner by their voltage dividers", "[circuit]") {
    SECTION("a shunt behind mixing resistors") {
        scale::Description d = weighbridge();
        d.trim = {scale::TrimKind::signal_shunt, 200.0e3, 25.0, 20.0e3, 1000.0};
        const scale::Condition sound = scale::sound_condition(d);
        scale::Condition turned = sound;
        turned.positions[0].trim_at = 5.0;
        // Open circuit at the screws v Rs/(R + Rs) behind R Rs/(R + Rs), then 1 kohm in each lead to the bus.
        const double r = 350.0 + 2.0 * (conductor_ohm(sound, 0) + 0.02);
        const auto amperes = [&](double turns) {
            const double shunt = 20.0e3 + 200.0e3 * turns / 25.0;
            return shunt / (r + shunt) / (r * shunt / (r + shunt) + 2000.0);
        };
        CHECK((corner(turned, 0) / corner(turned, 1)) / (corner(sound, 0) / corner(sound, 1)) ==
              Approx(amperes(5.0) / amperes(12.5)).epsilon(1.0e-6));
    }
    SECTION("a resistance in the E+ lead") {
        for (const double turns : {25.0, 0.0}) {
            scale::Description d = weighbridge();
            d.input_ohm = open;
            d.trim.turns = turns;
            for (scale::Cell& cell : d.cells) cell.trim_at = 0.5 * scale::trim_last_position(d.trim);
            const scale::Condition sound = scale::sound_condition(d);
            scale::Condition turned = sound;
            turned.positions[0].trim_at = 0.9 * scale::trim_last_position(d.trim);
            const double lead = conductor_ohm(sound, 0) + 0.02;
            std::array<double, 8> ohm{};
            ohm.fill(10.0);
            const double before = bridge_excitation(ohm, lead)[0];
            ohm[0] = 18.0;
            CHECK(corner(turned, 0) / corner(sound, 0) ==
                  Approx(bridge_excitation(ohm, lead)[0] / before).epsilon(1.0e-6));
        }
    }
}

TEST_CASE("a per-cell box corrects corners by its gains alone", "[circuit]") {
    scale::Description d = untrimmed();
    d.converter = scale::Converter::per_cell;
    const auto force_N = evenly(10000.0);
    scale::Condition c = scale::sound_condition(d);
    const double before = corner(c, 2);
    c.positions[2].digital_gain = 1.02;
    CHECK(corner(c, 2) / before == Approx(1.02).epsilon(1.0e-9));
    // Each channel reads its own cell: 10 t of 30 t at 2 mV/V, less what the joints and the converter's two
    // 200 Mohm inputs take.
    const circuit::BoxOutput out = circuit::Box(c).output(ratios_under(c, force_N));
    for (unsigned p = 0; p < 8; ++p) {
        CHECK(out.channel[p] == Approx(2.0e-3 / 3.0 * (390.0 + 2.0 * conductor_ohm(c, 2)) /
                                       (390.0 + 2.0 * (conductor_ohm(c, 2) + 0.02)))
                                    .epsilon(1.0e-5));
    }
}

TEST_CASE("a cell whose whole cable is off leaves the bus to the others", "[circuit]") {
    // Bridges in parallel: v = sum(v_i / R_i) / sum(1 / R_i) over those that are there (Modern Strain Gage
    // Technology, ch. 26; formula as in every text on parallel sources). Equal ones: the mean of seven.
    const scale::Description d = weighbridge();
    auto force_N = evenly(5000.0);
    const double even = output_under(scale::sound_condition(d), force_N);
    const scale::Condition off = with(d, Cause::open_wire, 2, scale::live_wire_count);
    for (const bool is_open : off.cells[2].open) CHECK(is_open);
    CHECK(output_under(off, force_N) == Approx(even).epsilon(1.0e-6));
    // Nothing that stands on it counts; what stands on another counts an eighth for every seventh.
    force_N[2] = 9000.0 * 9.80665;
    CHECK(output_under(off, force_N) == Approx(even).epsilon(1.0e-6));
    force_N[2] = 5000.0 * 9.80665;
    force_N[5] = 9000.0 * 9.80665;
    const double sound = output_under(scale::sound_condition(d), force_N);
    CHECK((output_under(off, force_N) - even) / (sound - even) == Approx(8.0 / 7.0).epsilon(1.0e-4));
}
