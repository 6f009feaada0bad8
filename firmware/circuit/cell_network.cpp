#include "firmware/circuit/cell_network.h"

#include <limits>

#include "firmware/circuit/cell_lanes.h"
#include "firmware/scale/units.h"

namespace cornerbench::circuit {

using scale::Wire;

namespace {

/// The cell's own terminal for a wire.
constexpr int cell_terminal(Wire wire) {
    constexpr int terminals[scale::wire_count] = {terminal_e_plus, terminal_e_minus, corner_s_plus,
                                                  corner_s_minus, cell_shield};
    return terminals[scale::index_of(wire)];
}

/// Where a wire ends beyond its box end, and through what.
struct Landing {
    int node = 0;
    double ohm = 0.0;
};

/// The screw under which a wire sits, with the trim in its lead.
Landing landing_of(Wire terminal, const scale::BoxPosition& position, const scale::Trim& trim) {
    Landing landing{port_first + scale::index_of(terminal), position.contact_ohm[scale::index_of(terminal)]};
    if (terminal == Wire::excitation_plus && trim.kind == scale::TrimKind::excitation_series) {
        landing.ohm += scale::trim_variable_ohm(trim, position.trim_at);
    }
    if (trim.mixing_ohm > 0.0) {
        if (terminal == Wire::signal_plus) landing.node = landed_s_plus;
        if (terminal == Wire::signal_minus) landing.node = landed_s_minus;
    }
    return landing;
}

double conductor_ohm(const scale::CellCondition& cell, int wire) {
    return cell.open[wire] ? std::numeric_limits<double>::infinity() : cell.cable_m * cell.cable_ohm_per_m;
}

/// Share of the cell's side in the potential of a wire end between its conductor and its screw.
double wire_end_share(double conductor, double screw) {
    const double inner = conductance(conductor);
    const double outer = conductance(screw);
    return inner > 0.0 ? inner / (inner + outer) : 0.0;
}

/// Lays what the box has at a position between the screws and the bus.
template <typename Add>
void wire_signals(const scale::BoxPosition& position, const scale::Trim& trim, const Add& add) {
    int plus = scale::index_of(Wire::signal_plus);
    int minus = scale::index_of(Wire::signal_minus);
    if (trim.mixing_ohm > 0.0) {
        add(landed_s_plus, plus, conductance(trim.mixing_ohm));
        add(landed_s_minus, minus, conductance(trim.mixing_ohm));
        plus = landed_s_plus;
        minus = landed_s_minus;
    }
    if (trim.kind == scale::TrimKind::signal_shunt) {
        add(plus, minus, conductance(trim.fixed_ohm + scale::trim_variable_ohm(trim, position.trim_at)));
    }
}

/// Calls `add(a, b, siemens)` for every resistor of a cell but its arms.
template <typename Add>
void wire_beside_arms(const scale::CellCondition& cell, const scale::BoxPosition* position,
                      const scale::Trim& trim, const Add& add) {
    const double compensation = 0.5 * (cell.input_ohm - cell.output_ohm);
    add(inner_e_plus, terminal_e_plus, conductance(compensation));
    add(inner_e_minus, terminal_e_minus, conductance(compensation));
    if (position != nullptr) wire_signals(*position, trim, add);
    for (int w = 0; w < scale::wire_count; ++w) {
        const Wire terminal = cell.lands_on[w];
        const Landing landing = position != nullptr ? landing_of(terminal, *position, trim)
                                                    : Landing{scale::index_of(terminal), 0.0};
        add(landing.node, cell_terminal(static_cast<Wire>(w)),
            conductance(conductor_ohm(cell, w) + landing.ohm));
    }
    const double insulation = conductance(4.0 * cell.insulation_ohm);
    for (int w = 0; w < scale::live_wire_count; ++w)
        add(cell_terminal(static_cast<Wire>(w)), cell_shield, insulation);
    for (int i = 0; i < cell.leak_count; ++i) {
        const scale::Leak& leak = cell.leaks[i];
        add(cell_terminal(leak.a), cell_terminal(leak.b), conductance(leak.ohm));
    }
}

}  // namespace

double bridge_ratio_per_N(const scale::CellCondition& cell) {
    const double cable_ohm = cell.delivered_cable_m * cell.delivered_cable_ohm_per_m;
    const double s = cell.sensitivity_V_per_V * (1.0 + 2.0 * cable_ohm / cell.input_ohm);
    const double warm = 1.0 + cell.span_per_K * (cell.temperature_C - 20.0);
    return cell.orientation * s * warm / (cell.capacity_kg * scale::standard_gravity);
}

double bridge_ratio(const scale::CellCondition& cell, double force_N, double decreasing, double creep_share) {
    const double load = force_N / (cell.capacity_kg * scale::standard_gravity);
    const double bow = 4.0 * load * (1.0 - load);
    const double straight = bridge_ratio_per_N(cell) * force_N;
    const double rated = cell.orientation * cell.sensitivity_V_per_V;
    return straight * (1.0 + cell.creep * creep_share) +
           rated * bow * (cell.nonlinearity + cell.hysteresis * decreasing) + cell.zero_V_per_V +
           cell.sensitivity_V_per_V * cell.zero_per_K * (cell.temperature_C - 20.0);
}

Arms arm_ohms(const scale::CellCondition& cell, double ratio) {
    BridgeLanes<1> bridge{cell.input_ohm / cell.output_ohm, cell.output_ohm, {}};
    for (int i = 0; i < scale::arm_count; ++i) bridge.change_ohm[i] = cell.arm_change_ohm[i];
    ArmLanes<1> lanes;
    find_arms<1>(bridge, ratio, lanes);
    Arms arms{};
    for (int i = 0; i < scale::arm_count; ++i) arms[i] = lanes.ohm[i];
    return arms;
}

Mesh<network_node_count> mesh_beside_arms(const scale::CellCondition& cell,
                                          const scale::BoxPosition* position, const scale::Trim& trim) {
    Mesh<network_node_count> mesh;
    wire_beside_arms(cell, position, trim,
                     [&mesh](int a, int b, double siemens) { mesh.add(a, b, siemens); });
    return mesh;
}

template <int Lanes>
void FrameBuilder<Lanes>::wire(int at, const scale::CellCondition& cell, const scale::BoxPosition& position) {
    wire_beside_arms(cell, &position, trim_, [this, at](int a, int b, double siemens) {
        if (a != b) siemens_[a < b ? pair_of(a, b) : pair_of(b, a)][at] += siemens;
    });
}

template <int Lanes>
void FrameBuilder<Lanes>::reduce(std::array<std::array<double, Lanes>, frame_pair_count>& frames) const {
    MeshLanes<network_node_count, Lanes> mesh;
    StarLanes<landed_s_minus, Lanes> s_minus;
    StarLanes<landed_s_plus, Lanes> s_plus;
    StarLanes<terminal_e_minus, Lanes> e_minus;
    StarLanes<terminal_e_plus, Lanes> e_plus;
    StarLanes<cell_shield, Lanes> shield;
    const auto wired = [this](int pair) { return load<Lanes>(siemens_[pair].data()); };
    const auto start_with = [&](int node) {
        for (int p = pair_of(0, node); p < pair_of(0, node + 1); ++p) mesh.siemens[p] = wired(p);
    };
    if (trim_.mixing_ohm > 0.0) {
        start_with(landed_s_minus);
        mesh.eliminate(s_minus, wired);
        mesh.eliminate(s_plus);
        mesh.eliminate(e_minus);
    } else {
        start_with(terminal_e_minus);
        mesh.eliminate(e_minus, wired);
    }
    mesh.eliminate(e_plus);
    mesh.eliminate(shield);
    for (int p = 0; p < frame_pair_count; ++p) store(mesh.siemens[p], frames[p].data());
}

template class FrameBuilder<1>;
template class FrameBuilder<4>;

CellFrame::CellFrame(const scale::CellCondition& cell, const scale::BoxPosition& position,
                     const scale::Trim& trim) {
    FrameBuilder<1> builder(trim);
    builder.wire(0, cell, position);
    builder.reduce(siemens_);
}

CellPorts CellFrame::close(const Arms& arms) const {
    ArmLanes<1> lanes;
    PortLanes<1> closed;
    for (int i = 0; i < scale::arm_count; ++i) lanes.ohm[i] = arms[i];
    close_frame<1>([this](int pair) { return siemens_[pair][0]; }, lanes, closed);
    CellPorts ports;
    for (int p = 0; p < port_pair_count; ++p) ports.siemens[p] = closed.siemens[p];
    return ports;
}

std::array<double, cell_node_count> cell_potentials(const scale::CellCondition& cell,
                                                    const scale::BoxPosition& position,
                                                    const scale::Trim& trim, double ratio,
                                                    const std::array<double, scale::wire_count>& port_V) {
    using Network = Mesh<network_node_count>;
    Network mesh = mesh_beside_arms(cell, &position, trim);
    add_arms(arm_ohms(cell, ratio), mesh);

    std::array<Network::Star, network_node_count> stars{};
    for (int n = network_node_count - 1; n >= scale::wire_count; --n) stars[n] = mesh.eliminate(n);
    Network::Row network_V{};
    for (int p = 0; p < scale::wire_count; ++p) network_V[p] = port_V[p];
    for (int n = scale::wire_count; n < network_node_count; ++n) {
        network_V[n] = Network::potential(stars[n], network_V);
    }
    std::array<double, cell_node_count> potentials{};
    for (int n = 0; n < network_node_count; ++n) potentials[n] = network_V[n];

    for (int w = 0; w < scale::wire_count; ++w) {
        const Landing landing = landing_of(cell.lands_on[w], position, trim);
        const double inner = wire_end_share(conductor_ohm(cell, w), landing.ohm);
        potentials[wire_end_first + w] = inner * potentials[cell_terminal(static_cast<Wire>(w))] +
                                         (1.0 - inner) * potentials[landing.node];
    }
    return potentials;
}

}  // namespace cornerbench::circuit
