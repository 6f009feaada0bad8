#include "firmware/circuit/lifted_cell.h"

#include <limits>

namespace cornerbench::circuit {

LiftedCell::LiftedCell(const scale::CellCondition& cell) : cell_(cell) {
    Mesh<network_node_count> whole = mesh_beside_arms(cell, nullptr, scale::Trim{});
    for (int n = network_node_count - 1; n >= kept_cell_nodes; --n) whole.reduce(n);
    double first[frame_pair_count];
    whole.copy_first(first);
    for (int b = 1; b < kept_cell_nodes; ++b) {
        for (int a = 0; a < b; ++a) mesh_.add(a, b, first[pair_of(a, b)]);
    }
}

LiftedCell::WireEnds LiftedCell::closed(double bridge_ratio) const {
    Mesh<kept_cell_nodes> mesh = mesh_;
    add_arms(arm_ohms(cell_, bridge_ratio), mesh);
    for (int n = kept_cell_nodes - 1; n >= scale::wire_count; --n) mesh.reduce(n);
    return mesh;
}

double LiftedCell::signal_ratio(double bridge_ratio) const {
    using scale::Wire;
    using M = Mesh<kept_cell_nodes>;
    M mesh = closed(bridge_ratio);
    const int s_plus = scale::index_of(Wire::signal_plus);
    const int s_minus = scale::index_of(Wire::signal_minus);
    mesh.add(s_plus, s_minus, 1.0 / millivoltmeter_ohm);
    mesh.reduce(scale::index_of(Wire::shield));
    const M::Star minus = mesh.eliminate(s_minus);
    const M::Star plus = mesh.eliminate(s_plus);
    M::Row v{};
    v[scale::index_of(Wire::excitation_plus)] = 0.5;
    v[scale::index_of(Wire::excitation_minus)] = -0.5;
    v[s_plus] = M::potential(plus, v);
    v[s_minus] = M::potential(minus, v);
    return v[s_plus] - v[s_minus];
}

double LiftedCell::resistance_ohm(WireEnds mesh, scale::Wire a, scale::Wire b) {
    for (int n = 0; n < scale::wire_count; ++n) {
        if (n != scale::index_of(a) && n != scale::index_of(b)) mesh.reduce(n);
    }
    const double siemens = mesh.between(scale::index_of(a), scale::index_of(b));
    return siemens > 0.0 ? 1.0 / siemens : std::numeric_limits<double>::infinity();
}

}  // namespace cornerbench::circuit
