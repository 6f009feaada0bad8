#pragma once

#include "firmware/scale/description.h"

/// Scales for the tests of sim/field, filled in by hand.
namespace cornerbench::field {

/// 60 t by 20 kg on eight cells, excitation trims at mid travel, decks that twist by themselves (kt = 0).
inline scale::Description limp_eight() {
    scale::Description d;
    d.max_kg = 60000.0;
    d.division_kg = 20.0;
    d.deck.mass_kg = 14000.0;
    d.deck.sections = 4;
    d.deck.section_x_m = {0.0, 6.0, 12.0, 18.0};
    d.deck.width_m = 2.6;
    d.deck.overhang_m = 0.4;
    d.trim.kind = scale::TrimKind::excitation_series;
    d.trim.total_ohm = 20.0;
    d.trim.turns = 25.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        scale::Cell& cell = d.cells[static_cast<unsigned>(i)];
        cell.capacity_kg = 30000.0;
        cell.cable_m = 14.0;
        cell.trim_at = 12.0;
    }
    return d;
}

/// The same with modules that resist twist.
inline scale::Description stiff_eight() {
    scale::Description d = limp_eight();
    d.deck.twist_stiffness_N_m_per_rad = 1.5e7;
    return d;
}

/// The same with a converter for every cell.
inline scale::Description per_cell_eight() {
    scale::Description d = stiff_eight();
    d.converter = scale::Converter::per_cell;
    d.trim.kind = scale::TrimKind::none;
    return d;
}

}  // namespace cornerbench::field
