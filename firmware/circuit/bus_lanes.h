#pragma once

#include <array>

#include "firmware/circuit/cell_lanes.h"

/// Buses side by side, one to a lane: from all cells' ports to the bus's potentials.
namespace cornerbench::circuit {

/// The bus and the supply's three potentials, once everything else on the bus is eliminated.
enum KeptNode : unsigned char {
    kept_supply_plus,
    kept_supply_minus,
    kept_supply_middle,
    kept_bus,  // five, by scale::Wire
    kept_node_count = kept_bus + scale::wire_count
};

inline constexpr int kept_pair_count = kept_node_count * (kept_node_count - 1) / 2;

/// A node's potential as a mean of the kept ones': its weights, none negative, sum 1.
using KeptWeights = std::array<double, kept_node_count>;

/// Volts of the kept nodes, by KeptNode, against the middle of the supply.
template <int Lanes>
struct KeptVolts {
    Lane<Lanes> volt[kept_node_count];
};

/// The five bus nodes' stars, each with all kept nodes below it.
template <int Lanes>
struct BusStars {
    StarLanes<kept_bus, Lanes> e_plus;
    StarLanes<kept_bus + 1, Lanes> e_minus;
    StarLanes<kept_bus + 2, Lanes> s_plus;
    StarLanes<kept_bus + 3, Lanes> s_minus;
    StarLanes<kept_bus + 4, Lanes> shield;
};

/// Sum of `Count` products from `First` on, by halves.
template <int First, int Count, int Lanes, typename Weight>
Lane<Lanes> weighted_sum(const Weight& weight, const KeptVolts<Lanes>& kept) {
    if constexpr (Count == 1) {
        return weight(First) * kept.volt[First];
    } else {
        return weighted_sum<First, Count / 2, Lanes>(weight, kept) +
               weighted_sum<First + Count / 2, Count - Count / 2, Lanes>(weight, kept);
    }
}

/// Potential of a node from those of its star.
template <int Neighbours, int Lanes>
void find_potential(const StarLanes<Neighbours, Lanes>& star, KeptVolts<Lanes>& kept) {
    const auto share = [&star](int k) { return star.share[k]; };
    kept.volt[Neighbours] = weighted_sum<0, Neighbours, Lanes>(share, kept);
}

/// Lays the cells' conductances onto a bus that is `siemens` without them.
template <int Lanes>
void lay_cells(const double (&siemens)[kept_pair_count], const PortLanes<Lanes>& cells,
               MeshLanes<kept_node_count, Lanes>& mesh) {
    for (int p = 0; p < kept_pair_count; ++p) mesh.siemens[p] = all<Lanes>(siemens[p]);
    for (int b = 1; b < scale::wire_count; ++b) {
        for (int a = 0; a < b; ++a) {
            mesh.siemens[pair_of(kept_bus + a, kept_bus + b)] += cells.siemens[port_pair(a, b)];
        }
    }
}

/// Eliminates the bus and finds its potentials, the supply held at plus and minus half of `excitation_V`.
template <int Lanes>
void solve_bus(MeshLanes<kept_node_count, Lanes>& mesh, const Lane<Lanes>& excitation_V,
               BusStars<Lanes>& stars, KeptVolts<Lanes>& kept) {
    mesh.eliminate(stars.shield);
    mesh.eliminate(stars.s_minus);
    mesh.eliminate(stars.s_plus);
    mesh.eliminate(stars.e_minus);
    mesh.eliminate(stars.e_plus);
    kept.volt[kept_supply_plus] = all<Lanes>(0.5) * excitation_V;
    kept.volt[kept_supply_minus] = all<Lanes>(-0.5) * excitation_V;
    kept.volt[kept_supply_middle] = all<Lanes>(0.0);
    find_potential<kept_bus, Lanes>(stars.e_plus, kept);
    find_potential<kept_bus + 1, Lanes>(stars.e_minus, kept);
    find_potential<kept_bus + 2, Lanes>(stars.s_plus, kept);
    find_potential<kept_bus + 3, Lanes>(stars.s_minus, kept);
    find_potential<kept_bus + 4, Lanes>(stars.shield, kept);
}

/// The mean with the given weights of all potentials.
template <int Lanes>
Lane<Lanes> weigh(const KeptWeights& weights, const KeptVolts<Lanes>& kept) {
    const auto weight = [&weights](int k) { return all<Lanes>(weights[k]); };
    return weighted_sum<0, kept_node_count, Lanes>(weight, kept);
}

}  // namespace cornerbench::circuit
