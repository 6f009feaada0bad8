#pragma once

#include <array>
#include <vector>

#include "firmware/scale/condition.h"
#include "sim/netlist/node_names.h"
#include "sim/netlist/scale_drawing.h"

/// Draws a scale's circuit from its condition and the forces on its cells. Nothing of firmware/circuit is
/// used here or in sim/netlist's drawing.
namespace cornerbench::oracle {

using netlist::Netlist;

using Forces = std::vector<double>;  ///< newtons on each cell, by cell

/// Open-circuit signal over excitation of a cell at increasing load: the straight line through zero balance
/// and rated output, the rated output given at the box end of the cable as delivered.
inline double open_circuit_ratio(const scale::CellCondition& cell, double force_N) {
    const double share = force_N / (cell.capacity_kg * 9.80665);
    const double cable = cell.delivered_cable_m * cell.delivered_cable_ohm_per_m;
    const double at_cell = cell.sensitivity_V_per_V * (cell.input_ohm + 2.0 * cable) / cell.input_ohm;
    const double warmer = cell.temperature_C - 20.0;
    double ratio = cell.orientation * at_cell * share * (1.0 + cell.span_per_K * warmer);
    ratio += cell.orientation * cell.sensitivity_V_per_V * cell.nonlinearity * 4.0 * share * (1.0 - share);
    return ratio + cell.zero_V_per_V + cell.sensitivity_V_per_V * cell.zero_per_K * warmer;
}

inline const scale::CellCondition& cell_at(const scale::Condition& c, int position) {
    const auto& place = c.positions[static_cast<unsigned>(position)];
    return c.cells[static_cast<unsigned>(place.cell)];
}

/// Box end of the wire that sits on a terminal of `position`.
inline std::string wire_end_at(const scale::Condition& c, int position, scale::Wire terminal) {
    return netlist::wire_end_node(c.positions[static_cast<unsigned>(position)].cell,
                                  netlist::wire_on(cell_at(c, position), terminal));
}

/// The whole circuit; with `only` >= 0 that position's alone, as a per-cell box has it for each channel.
inline Netlist draw_box(const scale::Condition& c, const Forces& force_N, int only = -1) {
    std::array<double, scale::max_cells> ratios{};
    for (int p = 0; p < c.cell_count; ++p) {
        const auto at = static_cast<unsigned>(p);
        ratios[at] = open_circuit_ratio(cell_at(c, p), force_N[static_cast<unsigned>(c.positions[at].cell)]);
    }
    return netlist::draw_scale(c, ratios, only);
}

}  // namespace cornerbench::oracle
