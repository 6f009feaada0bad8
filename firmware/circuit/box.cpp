#include "firmware/circuit/box.h"

#include "firmware/circuit/lifted_cell.h"

namespace cornerbench::circuit {

using scale::Wire;

namespace {

Arms arms_at(double input_ohm, double output_ohm, const Arms& change_ohm, double ratio) {
    scale::CellCondition bridge;
    bridge.input_ohm = input_ohm;
    bridge.output_ohm = output_ohm;
    bridge.arm_change_ohm = change_ohm;
    return arm_ohms(bridge, ratio);
}

/// The bus as `position` sees it: all cells on a summed bus, its own alone in a per-cell box.
PortSum ports_on_bus_of(const Box& box, int position, std::span<const double> ratios) {
    PortSum sum{};
    for (int p = 0; p < box.count(); ++p) {
        if (box.per_cell() && p != position) continue;
        add_ports(sum, box.ports(p, ratios[static_cast<unsigned>(p)]));
    }
    return sum;
}

}  // namespace

Box::Box(const scale::Condition& condition)
    : count_(condition.cell_count), converter_(condition.converter), bus_(condition) {
    for (int p = 0; p < count_; ++p) replace(p, condition);
}

void Box::replace(int position, const scale::Condition& condition) {
    const auto at = static_cast<unsigned>(position);
    const scale::BoxPosition& place = condition.positions[at];
    const scale::CellCondition& cell = condition.cells[static_cast<unsigned>(place.cell)];
    frames_[at] = CellFrame(cell, place, condition.trim);
    bridges_[at] = {cell.input_ohm, cell.output_ohm, cell.arm_change_ohm};
    gain_[at] = place.digital_gain;
}

CellPorts Box::ports(int position, double bridge_ratio) const {
    const auto at = static_cast<unsigned>(position);
    const BridgeOhms& b = bridges_[at];
    return frames_[at].close(arms_at(b.input_ohm, b.output_ohm, b.change_ohm, bridge_ratio));
}

BoxOutput Box::output(std::span<const double> ratios) const {
    BoxOutput out;
    if (!per_cell()) {
        const BusSolution s = bus_.solve(ports_on_bus_of(*this, 0, ratios));
        out.ratio = s.ratio;
        out.reference_V = s.reference_V;
        out.reference_missing = s.reference_missing;
        return out;
    }
    for (int p = 0; p < count_; ++p) {
        const auto at = static_cast<unsigned>(p);
        const BusSolution s = bus_.solve(ports_on_bus_of(*this, p, ratios));
        out.channel[at] = s.ratio;
        out.ratio += gain_[at] * s.ratio;
        out.reference_V = s.reference_V;
        out.reference_missing = out.reference_missing || s.reference_missing;
    }
    return out;
}

double excitation_at_cell_V(const Box& box, const scale::Condition& condition, int position,
                            std::span<const double> ratios) {
    const BusSolution s = box.bus().solve(ports_on_bus_of(box, position, ratios));
    std::array<double, scale::wire_count> port_V{};
    for (int w = 0; w < scale::wire_count; ++w) {
        port_V[static_cast<unsigned>(w)] = s.volt[static_cast<unsigned>(w)];
    }
    const auto at = static_cast<unsigned>(position);
    const scale::BoxPosition& place = condition.positions[at];
    const scale::CellCondition& cell = condition.cells[static_cast<unsigned>(place.cell)];
    const auto v = cell_potentials(cell, place, condition.trim, ratios[at], port_V);
    double volt[2] = {0.0, 0.0};
    for (int w = 0; w < scale::wire_count; ++w) {
        const int terminal = scale::index_of(cell.lands_on[static_cast<unsigned>(w)]);
        if (terminal < 2) volt[terminal] = v[static_cast<unsigned>(wire_end_first + w)];
    }
    return volt[scale::index_of(Wire::excitation_plus)] - volt[scale::index_of(Wire::excitation_minus)];
}

double signal_in_box_V(const Box& box, int position, std::span<const double> ratios) {
    const BusSolution s = box.bus().solve(ports_on_bus_of(box, position, ratios), 1.0 / millivoltmeter_ohm);
    return s.box_signal_V();
}

double excitation_in_box_V(const Box& box, std::span<const double> ratios) {
    const BusSolution s = box.bus().solve(ports_on_bus_of(box, 0, ratios));
    return s.box_V();
}

double excitation_at_indicator_V(const Box& box, std::span<const double> ratios) {
    const BusSolution s = box.bus().solve(ports_on_bus_of(box, 0, ratios));
    return s.indicator_V();
}

}  // namespace cornerbench::circuit
