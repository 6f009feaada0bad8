#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <random>

#include "firmware/numbers/elementary.h"
#include "firmware/scale/condition.h"

/// Scales drawn at random for tests, within what a scale file allows and a yard might hold.
namespace cornerbench::tests {

/// Numbers from raw 64-bit draws, so that a seed means the same with every standard library.
class Draw {
  public:
    explicit Draw(std::uint64_t seed) : raw_(seed) {}

    double uniform(double low, double high) {
        return low + (high - low) * static_cast<double>(raw_() >> 11) * 0x1.0p-53;
    }
    /// Half-width 1.
    double around_zero() { return uniform(-1.0, 1.0); }
    int integer(int low, int high) {
        return low + static_cast<int>(raw_() % static_cast<std::uint64_t>(high - low + 1));
    }
    bool chance(double probability) { return uniform(0.0, 1.0) < probability; }
    double log_uniform(double low, double high) {
        return numbers::exp(uniform(numbers::log(low), numbers::log(high)));
    }
    double normal() { return numbers::normal_quantile(uniform(1.0e-12, 1.0 - 1.0e-12)); }
    template <class T, std::size_t N>
    T one_of(const T (&choices)[N]) {
        return choices[integer(0, static_cast<int>(N) - 1)];
    }

  private:
    std::mt19937_64 raw_;
};

enum class Adjusting : int {
    excitation_potentiometer,
    excitation_fixed,
    excitation_with_mixing,
    shunt_potentiometer,
    shunt_fixed,
    digital
};

inline constexpr int adjusting_count = 6;

/// A scale of 4 to 16 cells whose corners are adjusted in the given way, every number drawn.
inline scale::Description random_description(Draw& draw, Adjusting adjusting) {
    scale::Description d;
    d.unit = draw.one_of({scale::MassUnit::kilogram, scale::MassUnit::tonne, scale::MassUnit::pound});
    const double unit_kg = scale::kilograms_in(d.unit);
    d.division_kg = unit_kg * (d.unit == scale::MassUnit::tonne ? draw.one_of({0.01, 0.02, 0.05})
                                                                : draw.one_of({5.0, 10.0, 20.0, 50.0}));
    d.max_kg = d.division_kg * draw.one_of({2000, 3000, 4000, 5000, 6000});
    d.gravity = draw.uniform(9.78, 9.832);

    d.deck.sections = draw.integer(2, scale::max_sections);
    double x = draw.uniform(-1.0, 1.0);
    for (int s = 0; s < d.deck.sections; ++s) {
        d.deck.section_x_m[static_cast<unsigned>(s)] = x;
        x += draw.uniform(2.5, 8.0);
    }
    d.deck.width_m = draw.uniform(1.8, 3.2);
    d.deck.overhang_m = draw.uniform(0.0, 0.6);
    d.deck.mass_kg = d.max_kg * draw.uniform(0.15, 0.35);
    d.support_stiffness_N_per_m = draw.log_uniform(2.0e7, 3.0e8);
    // From a deck without twist stiffness to one that is rigid beside its supports.
    d.deck.twist_stiffness_N_m_per_rad = draw.chance(0.2) ? 0.0 : draw.log_uniform(1.0e5, 1.0e9);
    d.deck.joint_stiffness_N_m_per_rad = draw.chance(0.7) ? 0.0 : draw.log_uniform(1.0e5, 1.0e9);

    const int n = d.cell_count();
    scale::Cell cell;
    cell.capacity_kg = (d.max_kg + d.deck.mass_kg) / n * draw.uniform(1.6, 3.5);
    cell.rated_output_V_per_V = draw.one_of({1.0e-3, 2.0e-3, 3.0e-3});
    cell.output_ohm = draw.one_of({350.0, 350.0, 700.0, 1000.0});
    cell.input_ohm = cell.output_ohm * draw.uniform(1.0, 1.2);
    cell.rated_output_tolerance = draw.log_uniform(2.0e-4, 3.0e-3);
    cell.zero_tolerance = draw.uniform(0.0, 2.0e-2);
    cell.input_tolerance = draw.log_uniform(1.0e-3, 1.0e-2);
    cell.output_tolerance = draw.log_uniform(5.0e-4, 6.0e-3);
    cell.insulation_ohm = draw.log_uniform(1.0e8, 1.0e11);
    d.cable_area_mm2 = draw.uniform(0.2, 0.6);
    d.cable_temperature_C = draw.uniform(-15.0, 40.0);
    cell.cable_m = draw.uniform(5.0, 20.0);
    const bool cables_differ = draw.chance(0.3);
    for (int i = 0; i < n; ++i) {
        scale::Cell& own = d.cells[static_cast<unsigned>(i)];
        own = cell;
        if (cables_differ) own.cable_m = draw.uniform(5.0, 25.0);
    }

    d.contact_ohm = draw.uniform(0.005, 0.05);
    d.home_run_wires = draw.one_of({4, 6});
    d.home_run_m = draw.log_uniform(5.0, 200.0);
    d.home_run_area_mm2 = draw.uniform(0.5, 1.5);
    d.excitation_V = draw.one_of({5.0, 10.0, 12.0});
    d.source_ohm = draw.chance(0.5) ? 0.0 : draw.uniform(0.0, 1.0);
    d.input_ohm = draw.log_uniform(2.0e7, 2.0e9);
    d.shield_bond = draw.one_of(
        {scale::ShieldBond::excitation_minus, scale::ShieldBond::midpoint, scale::ShieldBond::floating});
    d.full_scale_V_per_V = 5.0e-3;

    scale::Trim& trim = d.trim;
    trim.turns = draw.one_of({10.0, 15.0, 25.0});
    switch (adjusting) {
        case Adjusting::excitation_fixed:
        case Adjusting::excitation_potentiometer:
        case Adjusting::excitation_with_mixing:
            trim.kind = scale::TrimKind::excitation_series;
            trim.total_ohm = cell.input_ohm * draw.uniform(0.04, 0.1);
            if (adjusting == Adjusting::excitation_fixed) trim.turns = 0.0;
            if (adjusting == Adjusting::excitation_with_mixing) {
                trim.mixing_ohm = cell.output_ohm * draw.log_uniform(0.2, 10.0);
            }
            break;
        case Adjusting::shunt_fixed:
        case Adjusting::shunt_potentiometer:
            trim.kind = scale::TrimKind::signal_shunt;
            trim.mixing_ohm = cell.output_ohm * draw.log_uniform(1.0, 10.0);
            trim.total_ohm = cell.output_ohm * draw.uniform(200.0, 400.0);
            trim.fixed_ohm = cell.output_ohm * draw.uniform(15.0, 30.0);
            if (adjusting == Adjusting::shunt_fixed) trim.turns = 0.0;
            break;
        case Adjusting::digital:
            d.converter = scale::Converter::per_cell;
            break;
    }
    return d;
}

/// Trims standing anywhere between `from` and `to` of their way.
inline void turn_trims_at_random(Draw& draw, double from, double to, scale::Description& d) {
    for (int i = 0; i < d.cell_count(); ++i) {
        d.cells[static_cast<unsigned>(i)].trim_at =
            d.trim.kind == scale::TrimKind::none ? 0.0
                                                 : scale::trim_last_position(d.trim) * draw.uniform(from, to);
    }
}

/// One scale built to that description: every cell anywhere within its tolerances, supports 10 % apart in
/// stiffness and a tenth of a millimetre in height, deck 20 % off in twist.
inline scale::Condition random_sample(Draw& draw, const scale::Description& d) {
    scale::Condition c = scale::sound_condition(d);
    c.deck.twist_stiffness_N_m_per_rad *= 1.0 + 0.2 * draw.around_zero();
    for (int i = 0; i < c.cell_count; ++i) {
        const auto at = static_cast<unsigned>(i);
        const scale::Cell& bought = d.cells[at];
        scale::CellCondition& cell = c.cells[at];
        cell.sensitivity_V_per_V *= 1.0 + bought.rated_output_tolerance * draw.around_zero();
        cell.zero_V_per_V = bought.rated_output_V_per_V * bought.zero_tolerance * draw.around_zero();
        cell.output_ohm *= 1.0 + bought.output_tolerance * draw.around_zero();
        cell.input_ohm *= 1.0 + bought.input_tolerance * draw.around_zero();
        cell.input_ohm = std::max(cell.input_ohm, cell.output_ohm);
        c.supports[at].stiffness_N_per_m *= 1.0 + 0.1 * draw.around_zero();
        c.supports[at].height_m = 5.0e-5 * draw.around_zero();
    }
    return c;
}

/// Mass over one corner in an eccentricity test: Max / 3 on four supports, Max / (n - 1) on more (OIML R
/// 76-1:2006, 3.6.2, without tare).
inline double corner_test_mass_kg(const scale::Description& d) {
    const int n = d.cell_count();
    return n <= 4 ? d.max_kg / 3.0 : d.max_kg / (n - 1);
}

}  // namespace cornerbench::tests
