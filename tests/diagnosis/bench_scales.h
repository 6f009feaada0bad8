#pragma once

#include <vector>

#include "firmware/scale/description.h"

/// Scales of every make that the diagnosis must know, filled in by hand.
namespace cornerbench::oracle {

struct NamedScale {
    const char* name;
    scale::Description description;
};

/// Modules of 6 m that resist twist, 30 t cells; no trim.
inline scale::Description plain_scale(int cells) {
    scale::Description d;
    d.max_kg = 20000.0 + 10000.0 * (cells / 2);
    d.division_kg = 20.0;
    d.gravity = 9.8069;
    d.deck.mass_kg = 1800.0 * cells;
    d.deck.sections = cells / 2;
    for (int s = 0; s < d.deck.sections; ++s) d.deck.section_x_m[static_cast<unsigned>(s)] = 6.0 * s;
    d.deck.width_m = 2.6;
    d.deck.overhang_m = 0.4;
    d.deck.twist_stiffness_N_m_per_rad = 1.5e7;
    d.home_run_m = 40.0;
    for (scale::Cell& cell : d.cells) {
        cell.capacity_kg = 30000.0;
        cell.cable_m = 14.0;
    }
    return d;
}

/// The same with a potentiometer in each E+ lead.
inline scale::Description trimmed_scale(int cells) {
    scale::Description d = plain_scale(cells);
    d.trim = {scale::TrimKind::excitation_series, 20.0, 25.0, 0.0, 0.0};
    for (scale::Cell& cell : d.cells) cell.trim_at = 10.0;
    return d;
}

inline scale::Description per_cell_scale(int cells) {
    scale::Description d = plain_scale(cells);
    d.converter = scale::Converter::per_cell;
    return d;
}

/// Potentiometers across the signal pairs, with mixing resistors; four wires to the indicator.
inline scale::Description shunt_scale(int cells) {
    scale::Description d = plain_scale(cells);
    d.trim = {scale::TrimKind::signal_shunt, 200.0e3, 25.0, 20.0e3, 1000.0};
    d.home_run_wires = 4;
    d.home_run_m = 15.0;
    for (scale::Cell& cell : d.cells) cell.trim_at = 12.0;
    return d;
}

/// Fixed resistors in the E+ leads, hinged modules that do not resist twist, masses in pounds.
inline scale::Description pound_scale(int cells) {
    scale::Description d = plain_scale(cells);
    constexpr double lb = scale::kilograms_per_pound;
    d.unit = scale::MassUnit::pound;
    d.max_kg = 40000.0 * (cells / 2) * lb;
    d.division_kg = 20.0 * lb;
    d.deck.mass_kg = 4500.0 * cells * lb;
    d.deck.twist_stiffness_N_m_per_rad = 0.0;
    d.trim = {scale::TrimKind::excitation_series, 12.0, 0.0, 0.0, 0.0};
    d.shield_bond = scale::ShieldBond::midpoint;
    for (scale::Cell& cell : d.cells) {
        cell.capacity_kg = 75000.0 * lb;
        cell.rated_output_V_per_V = 3.0e-3;
        cell.input_ohm = 750.0;
        cell.output_ohm = 702.0;
        cell.trim_at = 5.0;
    }
    d.full_scale_V_per_V = 3.9e-3;
    return d;
}

/// Continuous deck: joints that pass bending on.
inline scale::Description stiff_joints(scale::Description d) {
    d.deck.joint_stiffness_N_m_per_rad = 2.0e7;
    return d;
}

inline std::vector<NamedScale> bench_scales() {
    return {{"four cells, trimmed", trimmed_scale(4)},
            {"six cells, shunt trims, four wires", shunt_scale(6)},
            {"eight cells, trimmed", trimmed_scale(8)},
            {"eight cells, a channel each", per_cell_scale(8)},
            {"eight cells, pounds", pound_scale(8)},
            {"ten cells, no trim, stiff joints", stiff_joints(plain_scale(10))}};
}

}  // namespace cornerbench::oracle
