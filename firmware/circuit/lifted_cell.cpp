#include "firmware/circuit/lifted_cell.h"

#include <limits>

namespace cornerbench::circuit {

LiftedCell::LiftedCell(const scale::CellCondition& cell) : cell_(cell) {
    const CellElements list = elements_beside_arms(cell, nullptr, scale::Trim{});
    Mesh<cell_node_count> whole;
    // The wire ends take the port nodes of the terminals they landed on.
    const auto renamed = [&](int n) {
        if (n >= wire_end_first && n < wire_end_first + scale::wire_count) {
            return port_first + scale::index_of(cell.lands_on[static_cast<unsigned>(n - wire_end_first)]);
        }
        return n;
    };
    for (int i = 0; i < list.count(); ++i) {
        const Element e = list[i];
        if (e.a != e.b) whole.add(renamed(e.a), renamed(e.b), 1.0 / e.ohm);
    }
    for (int w = 0; w < scale::wire_count; ++w) {
        // A cable of no length: wire end and cell terminal are one node, which the list calls by the latter.
        const int end = wire_end_first + w;
        if (list.node(end) != end) whole.add(renamed(end), list.node(end), 1.0 / least_ohm);
    }
    for (int n = kept_cell_nodes; n < cell_node_count; ++n) whole.eliminate(n);
    for (int a = 0; a < kept_cell_nodes; ++a) {
        for (int b = a + 1; b < kept_cell_nodes; ++b) mesh_.add(a, b, whole.between(a, b));
    }
}

Mesh<kept_cell_nodes> LiftedCell::closed(double bridge_ratio) const {
    Mesh<kept_cell_nodes> mesh = mesh_;
    const Arms arms = arm_ohms(cell_, bridge_ratio);
    for (int i = 0; i < scale::arm_count; ++i) {
        const Element e = arm_element(i, arms[static_cast<unsigned>(i)]);
        mesh.add(e.a, e.b, 1.0 / e.ohm);
    }
    for (int n = kept_cell_nodes - 1; n >= scale::wire_count; --n) mesh.eliminate(n);
    return mesh;
}

double LiftedCell::signal_ratio(double bridge_ratio) const {
    using scale::Wire;
    using M = Mesh<kept_cell_nodes>;
    M mesh = closed(bridge_ratio);
    const int s_plus = scale::index_of(Wire::signal_plus);
    const int s_minus = scale::index_of(Wire::signal_minus);
    mesh.add(s_plus, s_minus, 1.0 / millivoltmeter_ohm);
    const M::Star shield = mesh.eliminate(scale::index_of(Wire::shield));
    const M::Star minus = mesh.eliminate(s_minus);
    const M::Star plus = mesh.eliminate(s_plus);
    M::Row v{};
    v[static_cast<unsigned>(scale::index_of(Wire::excitation_plus))] = 0.5;
    v[static_cast<unsigned>(scale::index_of(Wire::excitation_minus))] = -0.5;
    v[static_cast<unsigned>(s_plus)] = M::potential(plus, v);
    v[static_cast<unsigned>(s_minus)] = M::potential(minus, v);
    (void)shield;
    return v[static_cast<unsigned>(s_plus)] - v[static_cast<unsigned>(s_minus)];
}

double LiftedCell::resistance_ohm(scale::Wire a, scale::Wire b, double bridge_ratio) const {
    Mesh<kept_cell_nodes> mesh = closed(bridge_ratio);
    for (int n = 0; n < scale::wire_count; ++n) {
        if (n != scale::index_of(a) && n != scale::index_of(b)) mesh.eliminate(n);
    }
    const double siemens = mesh.between(scale::index_of(a), scale::index_of(b));
    return siemens > 0.0 ? 1.0 / siemens : std::numeric_limits<double>::infinity();
}

}  // namespace cornerbench::circuit
