#pragma once

#include <string>
#include <vector>

#include "firmware/scale/condition.h"
#include "tests/circuit/netlist.h"

/// Draws a scale's circuit from its condition. Nothing of firmware/circuit is used here.
namespace cornerbench::oracle {

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

inline const char* terminal_name(scale::Wire w) {
    switch (w) {
        case scale::Wire::excitation_plus:
            return "E+";
        case scale::Wire::excitation_minus:
            return "E-";
        case scale::Wire::signal_plus:
            return "S+";
        case scale::Wire::signal_minus:
            return "S-";
        case scale::Wire::shield:
            break;
    }
    return "shield";
}

/// A cell with its cable: nodes "<name>.cell.E+" and so on at the cell, "<name>.wire.E+" at the box end.
inline void draw_cell(const std::string& name, const scale::CellCondition& cell, double ratio, Netlist& n) {
    const std::string at = name + ".cell.";
    const double imbalance = ratio * cell.input_ohm / cell.output_ohm;
    const double low = cell.output_ohm * (1.0 - imbalance);
    const double high = cell.output_ohm * (1.0 + imbalance);
    n.resistor(name + ".bridge.top", at + "S+", low + cell.arm_change_ohm[0]);
    n.resistor(at + "S+", name + ".bridge.bottom", high + cell.arm_change_ohm[1]);
    n.resistor(name + ".bridge.bottom", at + "S-", low + cell.arm_change_ohm[2]);
    n.resistor(at + "S-", name + ".bridge.top", high + cell.arm_change_ohm[3]);
    const double compensation = (cell.input_ohm - cell.output_ohm) / 2.0;
    n.resistor(at + "E+", name + ".bridge.top", compensation);
    n.resistor(at + "E-", name + ".bridge.bottom", compensation);
    for (const char* terminal : {"E+", "E-", "S+", "S-"}) {
        n.resistor(at + terminal, at + "shield", 4.0 * cell.insulation_ohm);
    }
    for (int i = 0; i < cell.leak_count; ++i) {
        const auto& leak = cell.leaks[static_cast<unsigned>(i)];
        n.resistor(at + terminal_name(leak.a), at + terminal_name(leak.b), leak.ohm);
    }
    for (int w = 0; w < scale::wire_count; ++w) {
        const std::string wire = terminal_name(static_cast<scale::Wire>(w));
        if (!cell.open[static_cast<unsigned>(w)]) {
            n.resistor(at + wire, name + ".wire." + wire, cell.cable_m * cell.cable_ohm_per_m);
        }
    }
}

/// The wire of a cell that sits on a terminal.
inline std::string wire_on(const scale::CellCondition& cell, const std::string& terminal) {
    for (int w = 0; w < scale::wire_count; ++w) {
        if (terminal == terminal_name(cell.lands_on[static_cast<unsigned>(w)])) {
            return terminal_name(static_cast<scale::Wire>(w));
        }
    }
    return {};
}

/// The screws of one box position, its trim and its mixing resistors, between wires and bus.
inline void draw_position(const std::string& name, const scale::CellCondition& cell,
                          const scale::BoxPosition& position, const scale::Trim& trim, Netlist& n) {
    const std::string screw = name + ".screw.";
    for (int t = 0; t < scale::wire_count; ++t) {
        const std::string terminal = terminal_name(static_cast<scale::Wire>(t));
        n.resistor(name + ".wire." + wire_on(cell, terminal), screw + terminal,
                   position.contact_ohm[static_cast<unsigned>(t)]);
    }
    const double variable =
        trim.turns > 0.0 ? position.trim_at / trim.turns * trim.total_ohm : position.trim_at;
    n.resistor(screw + "E+", "box.E+", trim.kind == scale::TrimKind::excitation_series ? variable : 0.0);
    n.resistor(screw + "E-", "box.E-", 0.0);
    n.resistor(screw + "shield", "box.shield", 0.0);
    if (trim.kind == scale::TrimKind::signal_shunt) {
        n.resistor(screw + "S+", screw + "S-", trim.fixed_ohm + variable);
    }
    n.resistor(screw + "S+", "box.S+", trim.mixing_ohm);
    n.resistor(screw + "S-", "box.S-", trim.mixing_ohm);
}

/// Supply, home run and converter. In a per-cell box the converter sits at the bus, its reference beside it.
inline void draw_indicator(const scale::Condition& c, Netlist& n) {
    n.source("supply+", "0", 0.5 * c.excitation_V);
    n.source("0", "supply-", 0.5 * c.excitation_V);
    n.resistor("supply+", "indicator.E+", c.source_ohm);
    n.resistor("supply-", "indicator.E-", c.source_ohm);
    const bool summed = c.converter == scale::Converter::summed;
    const auto conductor = [&](scale::HomeWire w) {
        return summed ? c.home_run_ohm[static_cast<unsigned>(scale::index_of(w))] : 0.0;
    };
    n.resistor("indicator.E+", "box.E+", conductor(scale::HomeWire::excitation_plus));
    n.resistor("indicator.E-", "box.E-", conductor(scale::HomeWire::excitation_minus));
    n.resistor("indicator.S+", "box.S+", conductor(scale::HomeWire::signal_plus));
    n.resistor("indicator.S-", "box.S-", conductor(scale::HomeWire::signal_minus));
    n.resistor("indicator.shield", "box.shield", conductor(scale::HomeWire::shield));
    if (summed && c.home_run_wires == 6) {
        n.resistor("indicator.sense+", "box.E+", conductor(scale::HomeWire::sense_plus));
        n.resistor("indicator.sense-", "box.E-", conductor(scale::HomeWire::sense_minus));
        if (c.sense_fallback_ohm > 0.0) {
            n.resistor("indicator.sense+", "indicator.E+", c.sense_fallback_ohm);
            n.resistor("indicator.sense-", "indicator.E-", c.sense_fallback_ohm);
        }
    } else {
        n.resistor("indicator.sense+", "indicator.E+", 0.0);
        n.resistor("indicator.sense-", "indicator.E-", 0.0);
    }
    n.resistor("indicator.S+", "indicator.E-", c.input_ohm);
    n.resistor("indicator.S-", "indicator.E-", c.input_ohm);
    if (c.shield_bond == scale::ShieldBond::excitation_minus) {
        n.resistor("indicator.shield", "indicator.E-", 0.1);
    } else if (c.shield_bond == scale::ShieldBond::midpoint) {
        n.resistor("indicator.shield", "0", 0.1);
    }
}

inline std::string position_name(int position) {
    return std::string(1, 'p').append(std::to_string(position + 1));
}

inline const scale::CellCondition& cell_at(const scale::Condition& c, int position) {
    const auto& place = c.positions[static_cast<unsigned>(position)];
    return c.cells[static_cast<unsigned>(place.cell)];
}

/// The whole circuit; with `only` >= 0 that position's alone, as a per-cell box has it for each channel.
inline Netlist draw_box(const scale::Condition& c, const Forces& force_N, int only = -1) {
    Netlist n;
    draw_indicator(c, n);
    for (int p = 0; p < c.cell_count; ++p) {
        if (only >= 0 && p != only) continue;
        const auto& place = c.positions[static_cast<unsigned>(p)];
        const scale::CellCondition& cell = cell_at(c, p);
        draw_cell(position_name(p), cell,
                  open_circuit_ratio(cell, force_N[static_cast<unsigned>(place.cell)]), n);
        draw_position(position_name(p), cell, place, c.trim, n);
    }
    return n;
}

}  // namespace cornerbench::oracle
