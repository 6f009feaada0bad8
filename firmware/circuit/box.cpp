#include "firmware/circuit/box.h"

#include "firmware/circuit/lifted_cell.h"

namespace cornerbench::circuit {

using scale::Wire;

namespace {

/// The bus as `position` sees it: all cells on a summed bus, its own alone in a per-cell box.
PortSum ports_on_bus_of(const Box& box, int position, std::span<const double> ratios) {
    PortSum sum{};
    for (int p = 0; p < box.count(); ++p) {
        if (box.per_cell() && p != position) continue;
        add_ports(sum, box.ports(p, ratios[p]));
    }
    return sum;
}

}  // namespace

Box::Box(const scale::Condition& condition)
    : count_(condition.cell_count), converter_(condition.converter), bus_(condition) {
    for (int first = 0; first < count_; first += group_size) {
        Group& group = groups_[first / group_size];
        group.delta_per_ratio.fill(0.0);
        group.output_ohm.fill(1.0);
        for (auto& change : group.change_ohm) change.fill(0.0);
        FrameBuilder<group_size> builder(condition.trim);
        for (int p = first; p < count_ && p < first + group_size; ++p) {
            const scale::BoxPosition& place = condition.positions[p];
            builder.wire(p - first, condition.cells[place.cell], place);
            note_bridge(p, condition);
        }
        builder.reduce(group.siemens);
    }
}

void Box::note_bridge(int position, const scale::Condition& condition) {
    const scale::BoxPosition& place = condition.positions[position];
    const scale::CellCondition& cell = condition.cells[place.cell];
    Group& group = groups_[position / group_size];
    const int at = position % group_size;
    group.delta_per_ratio[at] = cell.input_ohm / cell.output_ohm;
    group.output_ohm[at] = cell.output_ohm;
    for (int i = 0; i < scale::arm_count; ++i) group.change_ohm[i][at] = cell.arm_change_ohm[i];
    gain_[position] = place.digital_gain;
}

void Box::replace(int position, const scale::Condition& condition) {
    const scale::BoxPosition& place = condition.positions[position];
    FrameBuilder<1> builder(condition.trim);
    builder.wire(0, condition.cells[place.cell], place);
    std::array<std::array<double, 1>, frame_pair_count> frame;
    builder.reduce(frame);
    Group& group = groups_[position / group_size];
    for (int p = 0; p < frame_pair_count; ++p) group.siemens[p][position % group_size] = frame[p][0];
    note_bridge(position, condition);
}

void Box::restore(int position, const Box& other) {
    const Group& from = other.groups_[position / group_size];
    Group& to = groups_[position / group_size];
    const int at = position % group_size;
    for (int p = 0; p < frame_pair_count; ++p) to.siemens[p][at] = from.siemens[p][at];
    to.delta_per_ratio[at] = from.delta_per_ratio[at];
    to.output_ohm[at] = from.output_ohm[at];
    for (int i = 0; i < scale::arm_count; ++i) to.change_ohm[i][at] = from.change_ohm[i][at];
    gain_[position] = other.gain_[position];
}

CellPorts Box::ports(int position, double bridge_ratio) const {
    PortLanes<1> only;
    add_ports<1>(position, bridge_ratio, only);
    CellPorts out;
    for (int p = 0; p < port_pair_count; ++p) out.siemens[p] = only.siemens[p];
    return out;
}

void Box::group_ports(int group, std::span<const double> ratios, PortLanes<group_size>& out) const {
    const Group& cells = groups_[group];
    std::array<double, group_size> ratio{};
    for (int l = 0; l < group_size && group * group_size + l < count_; ++l) {
        ratio[l] = ratios[group * group_size + l];
    }
    BridgeLanes<group_size> bridge;
    ArmLanes<group_size> arms;
    bridge.delta_per_ratio = load<group_size>(cells.delta_per_ratio.data());
    bridge.output_ohm = load<group_size>(cells.output_ohm.data());
    for (int i = 0; i < scale::arm_count; ++i) {
        bridge.change_ohm[i] = load<group_size>(cells.change_ohm[i].data());
    }
    find_arms<group_size>(bridge, load<group_size>(ratio.data()), arms);
    close_frame<group_size>([&](int pair) { return load<group_size>(cells.siemens[pair].data()); }, arms,
                            out);
}

BoxOutput Box::output(std::span<const double> ratios) const {
    BoxOutput out;
    PortLanes<1> sum;
    for (int first = 0; first < count_; first += group_size) {
        const int filled = count_ - first < group_size ? count_ - first : group_size;
        PortLanes<group_size> cells;
        group_ports(first / group_size, ratios, cells);
        if (!per_cell()) {
            for (int p = 0; p < port_pair_count; ++p) {
                std::array<double, group_size> siemens;
                store(cells.siemens[p], siemens.data());
                for (int l = 0; l < filled; ++l) sum.siemens[p] += siemens[l];
            }
            continue;
        }
        std::array<BusReading, group_size> readings;
        bus_.read<group_size>(cells, readings);
        for (int l = 0; l < filled; ++l) {
            const BusReading& reading = readings[l];
            out.channel[first + l] = reading.ratio;
            out.ratio += gain_[first + l] * reading.ratio;
            out.reference_V = reading.reference_V;
            out.reference_missing = out.reference_missing || reading.reference_missing;
        }
    }
    if (!per_cell()) {
        std::array<BusReading, 1> reading;
        bus_.read<1>(sum, reading);
        out.ratio = reading[0].ratio;
        out.reference_V = reading[0].reference_V;
        out.reference_missing = reading[0].reference_missing;
    }
    return out;
}

double excitation_at_cell_V(const Box& box, const scale::Condition& condition, int position,
                            std::span<const double> ratios) {
    const BusSolution s = box.bus().solve(ports_on_bus_of(box, position, ratios));
    std::array<double, scale::wire_count> port_V{};
    for (int w = 0; w < scale::wire_count; ++w) {
        port_V[w] = s.volt[w];
    }
    const auto at = position;
    const scale::BoxPosition& place = condition.positions[at];
    const scale::CellCondition& cell = condition.cells[place.cell];
    const auto v = cell_potentials(cell, place, condition.trim, ratios[at], port_V);
    double volt[2] = {0.0, 0.0};
    for (int w = 0; w < scale::wire_count; ++w) {
        const int terminal = scale::index_of(cell.lands_on[w]);
        if (terminal < 2) volt[terminal] = v[wire_end_first + w];
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
