#include "sim/page/terminals.h"

#include <span>

namespace cornerbench::page {

namespace {

using circuit::BusSolution;

BusSolution bus_of(const circuit::Box& box, int position, const circuit::Ratios& ratios) {
    circuit::PortSum sum{};
    for (int p = 0; p < box.count(); ++p) {
        if (box.per_cell() && p != position) continue;
        circuit::add_ports(sum, box.ports(p, ratios[static_cast<std::size_t>(p)]));
    }
    return box.bus().solve(sum);
}

}  // namespace

std::vector<double> terminal_volts(const circuit::Box& box, const scale::Condition& condition,
                                   const circuit::Ratios& ratios) {
    std::vector<double> volts;
    const BusSolution first = bus_of(box, 0, ratios);
    for (int p = 0; p < box.count(); ++p) {
        const BusSolution bus = box.per_cell() && p > 0 ? bus_of(box, p, ratios) : first;
        std::array<double, scale::wire_count> port_V{};
        for (std::size_t w = 0; w < port_V.size(); ++w) port_V[w] = bus.volt[w];
        const scale::BoxPosition& place = condition.positions[static_cast<std::size_t>(p)];
        const scale::CellCondition& cell = condition.cells[static_cast<std::size_t>(place.cell)];
        const auto v = circuit::cell_potentials(cell, place, condition.trim,
                                                ratios[static_cast<std::size_t>(p)], port_V);
        // A wire is held where it lands, whatever its colour: that is what exchanged wires look like.
        std::array<double, scale::wire_count> landed{};
        for (std::size_t w = 0; w < landed.size(); ++w)
            landed[static_cast<std::size_t>(scale::index_of(cell.lands_on[w]))] =
                v[circuit::wire_end_first + w];
        volts.insert(volts.end(), landed.begin(), landed.end());
        volts.insert(volts.end(),
                     {v[circuit::terminal_e_plus], v[circuit::terminal_e_minus], v[circuit::corner_s_plus],
                      v[circuit::corner_s_minus], v[circuit::cell_shield]});
    }
    volts.insert(volts.end(), first.volt.begin(), first.volt.begin() + scale::wire_count);
    for (const int node :
         {circuit::indicator_e_plus, circuit::indicator_e_minus, circuit::indicator_s_plus,
          circuit::indicator_s_minus, circuit::sense_plus, circuit::sense_minus, circuit::indicator_shield})
        volts.push_back(first.volt[static_cast<std::size_t>(node)]);
    return volts;
}

}  // namespace cornerbench::page
