#include "sim/netlist/scale_drawing.h"

#include "sim/netlist/node_names.h"

namespace cornerbench::netlist {

using scale::HomeWire;
using scale::Wire;

namespace {

constexpr Wire every_wire[] = {Wire::excitation_plus, Wire::excitation_minus, Wire::signal_plus,
                               Wire::signal_minus, Wire::shield};
constexpr double shield_bond_ohm = 0.1;

void draw_bridge(int cell, const scale::CellCondition& c, double ratio, Netlist& n) {
    const std::string name = "cell" + std::to_string(cell + 1) + "_";
    const double imbalance = ratio * c.input_ohm / c.output_ohm;
    const double low = c.output_ohm * (1.0 - imbalance);
    const double high = c.output_ohm * (1.0 + imbalance);
    const std::string top = bridge_node(cell, Wire::excitation_plus);
    const std::string bottom = bridge_node(cell, Wire::excitation_minus);
    const std::string plus = cell_node(cell, Wire::signal_plus);
    const std::string minus = cell_node(cell, Wire::signal_minus);
    n.resistor(name + "arm1", top, plus, low + c.arm_change_ohm[0]);
    n.resistor(name + "arm2", plus, bottom, high + c.arm_change_ohm[1]);
    n.resistor(name + "arm3", bottom, minus, low + c.arm_change_ohm[2]);
    n.resistor(name + "arm4", minus, top, high + c.arm_change_ohm[3]);
    const double compensation = (c.input_ohm - c.output_ohm) / 2.0;
    n.resistor(name + "compensation_plus", cell_node(cell, Wire::excitation_plus), top, compensation);
    n.resistor(name + "compensation_minus", cell_node(cell, Wire::excitation_minus), bottom, compensation);
}

/// The screws of one box position, its trim and its mixing resistors, between wires and bus.
void draw_position(int position, const scale::Condition& c, const BusNames& names, Netlist& n) {
    const scale::BoxPosition& place = c.positions[static_cast<unsigned>(position)];
    const scale::CellCondition& cell = c.cells[static_cast<unsigned>(place.cell)];
    const std::string number = std::to_string(position + 1);
    for (const Wire terminal : every_wire) {
        n.resistor("screw" + number + "_" + wire_word(terminal),
                   wire_end_node(place.cell, wire_on(cell, terminal)), terminal_node(position, terminal),
                   place.contact_ohm[static_cast<unsigned>(scale::index_of(terminal))]);
    }
    const scale::Trim& trim = c.trim;
    const double variable = trim.turns > 0.0 ? place.trim_at / trim.turns * trim.total_ohm : place.trim_at;
    const auto lead = [&](const std::string& name, Wire wire, double ohm) {
        n.resistor(name, terminal_node(position, wire), names.box(wire), ohm);
    };
    if (trim.kind == scale::TrimKind::excitation_series) {
        lead("trim" + number, Wire::excitation_plus, variable);
    } else {
        lead("bar" + number + "_exc_plus", Wire::excitation_plus, 0.0);
    }
    lead("bar" + number + "_exc_minus", Wire::excitation_minus, 0.0);
    lead("bar" + number + "_shield", Wire::shield, 0.0);
    if (trim.kind == scale::TrimKind::signal_shunt) {
        n.resistor("trim" + number, terminal_node(position, Wire::signal_plus),
                   terminal_node(position, Wire::signal_minus), trim.fixed_ohm + variable);
    }
    const std::string mixing = (trim.mixing_ohm > 0.0 ? "mixing" : "bar") + number;
    lead(mixing + "_sig_plus", Wire::signal_plus, trim.mixing_ohm);
    lead(mixing + "_sig_minus", Wire::signal_minus, trim.mixing_ohm);
}

/// Supply, home run and converter. In a per-cell box the converter sits at the bus, its reference beside it.
void draw_indicator(const scale::Condition& c, const BusNames& names, Netlist& n) {
    const std::string& number = names.number();
    const auto at = [&names](HomeWire wire) { return names.indicator(wire); };
    const std::string plus = names.supply(Wire::excitation_plus);
    const std::string minus = names.supply(Wire::excitation_minus);
    n.source(plus, plus, reference_node, 0.5 * c.excitation_V);
    n.source(minus, reference_node, minus, 0.5 * c.excitation_V);
    n.resistor("supply_inside" + number + "_plus", plus, at(HomeWire::excitation_plus), c.source_ohm);
    n.resistor("supply_inside" + number + "_minus", minus, at(HomeWire::excitation_minus), c.source_ohm);
    const bool summed = c.converter == scale::Converter::summed;
    const auto run = [&](HomeWire wire, Wire to) {
        n.resistor("home_run" + number + "_" + wire_word(wire), at(wire), names.box(to),
                   summed ? c.home_run_ohm[static_cast<unsigned>(scale::index_of(wire))] : 0.0);
    };
    run(HomeWire::excitation_plus, Wire::excitation_plus);
    run(HomeWire::excitation_minus, Wire::excitation_minus);
    run(HomeWire::signal_plus, Wire::signal_plus);
    run(HomeWire::signal_minus, Wire::signal_minus);
    run(HomeWire::shield, Wire::shield);
    const auto beside = [&](const char* name, HomeWire sense, HomeWire excitation, double ohm) {
        n.resistor(name + number + (sense == HomeWire::sense_plus ? "_plus" : "_minus"), at(sense),
                   at(excitation), ohm);
    };
    if (summed && c.home_run_wires == 6) {
        run(HomeWire::sense_plus, Wire::excitation_plus);
        run(HomeWire::sense_minus, Wire::excitation_minus);
        if (c.sense_fallback_ohm > 0.0) {
            beside("sense_fallback", HomeWire::sense_plus, HomeWire::excitation_plus, c.sense_fallback_ohm);
            beside("sense_fallback", HomeWire::sense_minus, HomeWire::excitation_minus, c.sense_fallback_ohm);
        }
    } else {
        beside("sense_link", HomeWire::sense_plus, HomeWire::excitation_plus, 0.0);
        beside("sense_link", HomeWire::sense_minus, HomeWire::excitation_minus, 0.0);
    }
    const auto input = [&](const char* name, HomeWire signal) {
        n.resistor("converter_input" + number + name, at(signal), at(HomeWire::excitation_minus),
                   c.input_ohm);
    };
    input("_plus", HomeWire::signal_plus);
    input("_minus", HomeWire::signal_minus);
    if (c.shield_bond != scale::ShieldBond::floating) {
        const bool low = c.shield_bond == scale::ShieldBond::excitation_minus;
        n.resistor("shield_bond" + number, at(HomeWire::shield),
                   low ? at(HomeWire::excitation_minus) : reference_node, shield_bond_ohm);
    }
}

}  // namespace

Wire wire_on(const scale::CellCondition& cell, Wire terminal) {
    for (const Wire wire : every_wire)
        if (cell.lands_on[static_cast<unsigned>(scale::index_of(wire))] == terminal) return wire;
    return terminal;
}

void draw_cell(int cell, const scale::CellCondition& c, double ratio, Netlist& n) {
    const std::string name = "cell" + std::to_string(cell + 1) + "_";
    draw_bridge(cell, c, ratio, n);
    for (const Wire wire : every_wire) {
        if (wire == Wire::shield) continue;
        n.resistor(name + "insulation_" + wire_word(wire), cell_node(cell, wire),
                   cell_node(cell, Wire::shield), 4.0 * c.insulation_ohm);
    }
    for (int i = 0; i < c.leak_count; ++i) {
        const scale::Leak& leak = c.leaks[static_cast<unsigned>(i)];
        n.resistor(name + "leak" + std::to_string(i + 1), cell_node(cell, leak.a), cell_node(cell, leak.b),
                   leak.ohm);
    }
    for (const Wire wire : every_wire) {
        if (c.open[static_cast<unsigned>(scale::index_of(wire))]) continue;
        n.resistor(name + "cable_" + wire_word(wire), cell_node(cell, wire), wire_end_node(cell, wire),
                   c.cable_m * c.cable_ohm_per_m);
    }
}

Netlist draw_scale(const scale::Condition& c, std::span<const double> ratios, int only) {
    const bool per_cell = c.converter == scale::Converter::per_cell;
    Netlist n;
    if (!per_cell) {
        n.heading("Indicator, its supply and the home run");
        draw_indicator(c, BusNames(-1), n);
    }
    for (int p = 0; p < c.cell_count; ++p) {
        if (only >= 0 && p != only) continue;
        const int cell = c.positions[static_cast<unsigned>(p)].cell;
        const BusNames names(per_cell ? p : -1);
        if (per_cell) {
            n.heading("Channel " + std::to_string(p + 1) + ": supply and converter in the box");
            draw_indicator(c, names, n);
        }
        n.heading("Cell " + std::to_string(cell + 1) + " with its cable");
        draw_cell(cell, c.cells[static_cast<unsigned>(cell)], ratios[static_cast<unsigned>(p)], n);
        n.heading("Place " + std::to_string(p + 1) + " in the box: screws, trim, bars");
        draw_position(p, c, names, n);
    }
    return n;
}

}  // namespace cornerbench::netlist
