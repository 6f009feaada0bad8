#pragma once

#include <array>
#include <cmath>
#include <limits>

#include "firmware/circuit/box.h"
#include "firmware/scale/causes.h"

/// Scales with round numbers, for checks against closed forms.
namespace cornerbench::oracle {

inline constexpr double open = std::numeric_limits<double>::infinity();

/// Eight 30 t cells of 2 mV/V, 390 ohm in, 350 ohm out, 14 m of 22 AWG; a 20 ohm trim at mid-turn in each E+
/// lead; 40 m of 0.75 mm2 with six wires to an indicator at 10 V.
inline scale::Description weighbridge() {
    scale::Description d;
    d.deck.sections = 4;
    for (int s = 0; s < 4; ++s) d.deck.section_x_m[static_cast<unsigned>(s)] = 6.0 * s;
    d.deck.width_m = 2.6;
    d.cable_area_mm2 = 0.3255;
    d.home_run_m = 40.0;
    d.trim = {scale::TrimKind::excitation_series, 20.0, 25.0, 0.0, 0.0};
    for (scale::Cell& cell : d.cells) {
        cell.capacity_kg = 30000.0;
        cell.cable_m = 14.0;
        cell.trim_at = 12.5;
    }
    return d;
}

/// The same without any trim.
inline scale::Description untrimmed() {
    scale::Description d = weighbridge();
    d.trim = {};
    return d;
}

/// The same with nothing but cells and copper: no trim, perfect insulation, a converter that draws nothing.
inline scale::Description bare() {
    scale::Description d = untrimmed();
    d.input_ohm = open;
    for (scale::Cell& cell : d.cells) cell.insulation_ohm = open;
    return d;
}

/// One bare bridge straight at the converter's terminals: no cable, no joints, no home run.
inline scale::Condition single_bridge(double ohm) {
    scale::Description d = bare();
    d.home_run_wires = 4;
    scale::Condition c = scale::sound_condition(d);
    c.cell_count = 1;
    c.home_run_ohm.fill(0.0);
    for (int i = 0; i < scale::max_cells; ++i) {
        scale::CellCondition& cell = c.cells[static_cast<unsigned>(i)];
        cell.input_ohm = ohm;
        cell.output_ohm = ohm;
        cell.cable_m = 0.0;
        cell.delivered_cable_m = 0.0;
        c.positions[static_cast<unsigned>(i)].contact_ohm.fill(0.0);
    }
    return c;
}

using Ratios = std::array<double, scale::max_cells>;

/// Bridge ratios under `force_N` on each cell, by box position.
inline Ratios ratios_under(const scale::Condition& c, const std::array<double, scale::max_cells>& force_N) {
    Ratios ratios{};
    for (int p = 0; p < c.cell_count; ++p) {
        const auto cell = static_cast<unsigned>(c.positions[static_cast<unsigned>(p)].cell);
        ratios[static_cast<unsigned>(p)] = circuit::bridge_ratio(c.cells[cell], force_N[cell]);
    }
    return ratios;
}

inline double output_under(const scale::Condition& c, const std::array<double, scale::max_cells>& force_N) {
    return circuit::Box(c).output(ratios_under(c, force_N)).ratio;
}

/// Every cell carries as much as `mass_kg` weighs at standard gravity.
inline std::array<double, scale::max_cells> evenly(double mass_kg) {
    std::array<double, scale::max_cells> force_N{};
    force_N.fill(mass_kg * 9.80665);
    return force_N;
}

/// Change of the output when `mass_kg` comes to stand on `cell` alone, V/V.
inline double corner(const scale::Condition& c, int cell, double mass_kg = 10000.0) {
    auto loaded = evenly(2000.0);
    const double before = output_under(c, loaded);
    loaded[static_cast<unsigned>(cell)] += mass_kg * 9.80665;
    return output_under(c, loaded) - before;
}

}  // namespace cornerbench::oracle
