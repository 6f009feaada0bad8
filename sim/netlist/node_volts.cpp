#include "sim/netlist/node_volts.h"

#include <array>
#include <map>
#include <set>

#include "firmware/circuit/box.h"
#include "sim/netlist/node_names.h"
#include "sim/netlist/scale_drawing.h"

namespace cornerbench::netlist {

using scale::HomeWire;
using scale::Wire;

namespace {

using Volts = std::map<std::string, double>;

constexpr Wire wire_at(int index) {
    return static_cast<Wire>(index);
}

void note_bus(const circuit::BusSolution& s, const BusNames& names, Volts& volts) {
    for (int w = 0; w < scale::wire_count; ++w)
        volts[names.box(wire_at(w))] = s.volt[static_cast<unsigned>(w)];
    constexpr std::pair<HomeWire, circuit::BusNode> indicator[] = {
        {HomeWire::excitation_plus, circuit::indicator_e_plus},
        {HomeWire::excitation_minus, circuit::indicator_e_minus},
        {HomeWire::signal_plus, circuit::indicator_s_plus},
        {HomeWire::signal_minus, circuit::indicator_s_minus},
        {HomeWire::sense_plus, circuit::sense_plus},
        {HomeWire::sense_minus, circuit::sense_minus},
        {HomeWire::shield, circuit::indicator_shield}};
    for (const auto& [wire, node] : indicator) volts[names.indicator(wire)] = s.volt[node];
    volts[names.supply(Wire::excitation_plus)] = s.volt[circuit::supply_plus];
    volts[names.supply(Wire::excitation_minus)] = s.volt[circuit::supply_minus];
}

/// The box side of a position's screws: the bus itself, but behind a trim in E+ and behind mixing resistors.
void note_terminals(const scale::Condition& c, int position,
                    const std::array<double, circuit::cell_node_count>& cell_V, Volts& volts) {
    const scale::BoxPosition& place = c.positions[static_cast<unsigned>(position)];
    const scale::CellCondition& cell = c.cells[static_cast<unsigned>(place.cell)];
    for (int t = 0; t < scale::wire_count; ++t) {
        const auto at = static_cast<unsigned>(t);
        double volt = cell_V[at];
        if (wire_at(t) == Wire::excitation_plus && c.trim.kind == scale::TrimKind::excitation_series) {
            const double trim = scale::trim_variable_ohm(c.trim, place.trim_at);
            const double wire = cell_V[static_cast<unsigned>(
                circuit::wire_end_first + scale::index_of(wire_on(cell, Wire::excitation_plus)))];
            const double lead = trim + place.contact_ohm[at];
            if (lead > 0.0) volt += (wire - volt) * trim / lead;
        }
        if (c.trim.mixing_ohm > 0.0) {
            if (wire_at(t) == Wire::signal_plus) volt = cell_V[circuit::landed_s_plus];
            if (wire_at(t) == Wire::signal_minus) volt = cell_V[circuit::landed_s_minus];
        }
        volts[terminal_node(position, wire_at(t))] = volt;
    }
}

void note_cell(const scale::Condition& c, int position, double ratio, const circuit::BusSolution& s,
               Volts& volts) {
    const scale::BoxPosition& place = c.positions[static_cast<unsigned>(position)];
    std::array<double, scale::wire_count> port_V{};
    for (unsigned w = 0; w < port_V.size(); ++w) port_V[w] = s.volt[w];
    const auto v =
        circuit::cell_potentials(c.cells[static_cast<unsigned>(place.cell)], place, c.trim, ratio, port_V);
    volts[bridge_node(place.cell, Wire::excitation_plus)] = v[circuit::inner_e_plus];
    volts[bridge_node(place.cell, Wire::excitation_minus)] = v[circuit::inner_e_minus];
    constexpr circuit::CellNode terminals[scale::wire_count] = {
        circuit::terminal_e_plus, circuit::terminal_e_minus, circuit::corner_s_plus, circuit::corner_s_minus,
        circuit::cell_shield};
    for (int w = 0; w < scale::wire_count; ++w) {
        volts[cell_node(place.cell, wire_at(w))] = v[terminals[w]];
        volts[wire_end_node(place.cell, wire_at(w))] = v[static_cast<unsigned>(circuit::wire_end_first + w)];
    }
    note_terminals(c, position, v, volts);
}

Volts core_volts(const scale::Condition& c, std::span<const double> ratios) {
    const circuit::Box box(c);
    Volts volts;
    const auto solve = [&](int first, int last, const BusNames& names) {
        circuit::PortSum sum{};
        for (int p = first; p < last; ++p)
            circuit::add_ports(sum, box.ports(p, ratios[static_cast<unsigned>(p)]));
        const circuit::BusSolution s = box.bus().solve(sum);
        note_bus(s, names, volts);
        for (int p = first; p < last; ++p) note_cell(c, p, ratios[static_cast<unsigned>(p)], s, volts);
    };
    if (!box.per_cell()) {
        solve(0, c.cell_count, BusNames(-1));
    } else {
        for (int p = 0; p < c.cell_count; ++p) solve(p, p + 1, BusNames(p));
    }
    return volts;
}

}  // namespace

std::vector<NodeVolt> node_volts(const scale::Condition& c, std::span<const double> ratios,
                                 const Netlist& drawing) {
    const Volts core = core_volts(c, ratios);
    const CurrentPaths paths(drawing);
    std::vector<NodeVolt> volts;
    std::set<std::string> named{reference_node};
    for (const Element& e : drawing.elements()) {
        for (const std::string& node : {e.a, e.b}) {
            if (!named.insert(node).second) continue;
            volts.push_back({node, std::nullopt});
            if (!paths.floating(node)) volts.back().volt = core.at(node);
        }
    }
    return volts;
}

}  // namespace cornerbench::netlist
