#include "firmware/circuit/cell_network.h"

#include "firmware/scale/units.h"

namespace cornerbench::circuit {

using scale::Wire;

namespace {

constexpr int end_of(int wire) {
    return wire_end_first + wire;
}

/// The cell's own terminal for a wire.
constexpr int cell_terminal(Wire wire) {
    constexpr int terminals[scale::wire_count] = {terminal_e_plus, terminal_e_minus, corner_s_plus,
                                                  corner_s_minus, cell_shield};
    return terminals[scale::index_of(wire)];
}

/// No arm of a bridge falls to zero, however wild the ratio.
constexpr double least_arm_ohm = 1.0e-3;

void join_terminals(const scale::CellCondition& cell, const scale::BoxPosition& position,
                    const scale::Trim& trim, CellElements& list) {
    const bool shunted = trim.kind == scale::TrimKind::signal_shunt;
    const double variable = scale::trim_variable_ohm(trim, position.trim_at);
    for (int w = 0; w < scale::wire_count; ++w) {
        const Wire terminal = cell.lands_on[static_cast<unsigned>(w)];
        double ohm = position.contact_ohm[static_cast<unsigned>(scale::index_of(terminal))];
        int target = port_first + scale::index_of(terminal);
        if (terminal == Wire::excitation_plus && trim.kind == scale::TrimKind::excitation_series) {
            ohm += variable;
        } else if (terminal == Wire::signal_plus) {
            target = landed_s_plus;
        } else if (terminal == Wire::signal_minus) {
            target = landed_s_minus;
        }
        list.join(end_of(w), target, ohm);
    }
    list.join(landed_s_plus, port_first + scale::index_of(Wire::signal_plus), trim.mixing_ohm);
    list.join(landed_s_minus, port_first + scale::index_of(Wire::signal_minus), trim.mixing_ohm);
    if (shunted) list.join(landed_s_plus, landed_s_minus, trim.fixed_ohm + variable);
}

void add_arms(const Arms& arms, Mesh<cell_node_count>& mesh) {
    for (int i = 0; i < scale::arm_count; ++i) {
        const Element e = arm_element(i, arms[static_cast<unsigned>(i)]);
        mesh.add(e.a, e.b, 1.0 / e.ohm);
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
    const double delta = ratio * cell.input_ohm / cell.output_ohm;
    Arms arms{};
    for (int i = 0; i < scale::arm_count; ++i) {
        const double sign = i % 2 == 0 ? -1.0 : 1.0;
        const double ohm =
            cell.output_ohm * (1.0 + sign * delta) + cell.arm_change_ohm[static_cast<unsigned>(i)];
        arms[static_cast<unsigned>(i)] = ohm > least_arm_ohm ? ohm : least_arm_ohm;
    }
    return arms;
}

Element arm_element(int index, double ohm) {
    constexpr int corners[scale::arm_count + 1] = {inner_e_plus, corner_s_plus, inner_e_minus, corner_s_minus,
                                                   inner_e_plus};
    return {corners[index], corners[index + 1], ohm};
}

CellElements elements_beside_arms(const scale::CellCondition& cell, const scale::BoxPosition* position,
                                  const scale::Trim& trim) {
    CellElements list;
    const double compensation = 0.5 * (cell.input_ohm - cell.output_ohm);
    list.join(inner_e_plus, terminal_e_plus, compensation);
    list.join(inner_e_minus, terminal_e_minus, compensation);
    const double conductor = cell.cable_m * cell.cable_ohm_per_m;
    for (int w = 0; w < scale::wire_count; ++w) {
        const Wire wire = static_cast<Wire>(w);
        if (!cell.open[static_cast<unsigned>(w)]) list.join(cell_terminal(wire), end_of(w), conductor);
    }
    if (position != nullptr) join_terminals(cell, *position, trim, list);
    for (int w = 0; w < scale::live_wire_count; ++w) {
        list.join(cell_terminal(static_cast<Wire>(w)), cell_shield, 4.0 * cell.insulation_ohm);
    }
    for (int i = 0; i < cell.leak_count; ++i) {
        const scale::Leak& leak = cell.leaks[static_cast<unsigned>(i)];
        list.join(cell_terminal(leak.a), cell_terminal(leak.b), leak.ohm);
    }
    return list;
}

CellFrame::CellFrame(const scale::CellCondition& cell, const scale::BoxPosition& position,
                     const scale::Trim& trim) {
    Mesh<cell_node_count> whole = elements_beside_arms(cell, &position, trim).mesh();
    for (int n = kept_cell_nodes; n < cell_node_count; ++n) whole.eliminate(n);
    for (int a = 0; a < kept_cell_nodes; ++a) {
        for (int b = a + 1; b < kept_cell_nodes; ++b) mesh_.add(a, b, whole.between(a, b));
    }
}

CellPorts CellFrame::close(const Arms& arms) const {
    Mesh<kept_cell_nodes> mesh = mesh_;
    for (int i = 0; i < scale::arm_count; ++i) {
        const Element e = arm_element(i, arms[static_cast<unsigned>(i)]);
        mesh.add(e.a, e.b, 1.0 / e.ohm);
    }
    for (int n = kept_cell_nodes - 1; n >= scale::wire_count; --n) mesh.eliminate(n);
    CellPorts ports;
    for (int a = 0; a < scale::wire_count; ++a) {
        for (int b = a + 1; b < scale::wire_count; ++b) {
            ports.siemens[static_cast<unsigned>(port_pair(a, b))] = mesh.between(a, b);
        }
    }
    return ports;
}

std::array<double, cell_node_count> cell_potentials(const scale::CellCondition& cell,
                                                    const scale::BoxPosition& position,
                                                    const scale::Trim& trim, double ratio,
                                                    const std::array<double, scale::wire_count>& port_V) {
    const CellElements list = elements_beside_arms(cell, &position, trim);
    Mesh<cell_node_count> mesh = list.mesh();
    add_arms(arm_ohms(cell, ratio), mesh);

    std::array<Mesh<cell_node_count>::Star, cell_node_count> stars{};
    for (int n = cell_node_count - 1; n >= scale::wire_count; --n) {
        stars[static_cast<unsigned>(n)] = mesh.eliminate(n);
    }
    std::array<double, cell_node_count> potentials{};
    for (int p = 0; p < scale::wire_count; ++p) {
        potentials[static_cast<unsigned>(p)] = port_V[static_cast<unsigned>(p)];
    }
    for (int n = scale::wire_count; n < cell_node_count; ++n) {
        potentials[static_cast<unsigned>(n)] =
            Mesh<cell_node_count>::potential(stars[static_cast<unsigned>(n)], potentials);
    }
    for (int n = scale::wire_count; n < cell_node_count; ++n) {
        potentials[static_cast<unsigned>(n)] = potentials[static_cast<unsigned>(list.node(n))];
    }
    return potentials;
}

}  // namespace cornerbench::circuit
