#pragma once

#include <array>
#include <bit>
#include <cstdint>

#include "firmware/circuit/mesh_lanes.h"

/// A network of conductances, reduced by star-mesh elimination.
///
/// Eliminating a node replaces its star of conductances by a mesh between its neighbours: the Schur
/// complement of nodal analysis written without a subtraction. Sums, products and quotients of positive
/// numbers alone keep every entry's relative accuracy, whatever the spread between a 20 milliohm joint and a
/// gigohm leak.
namespace cornerbench::circuit {

/// What stands between two nodes although the file says zero ohm.
inline constexpr double least_ohm = 1.0e-13;

/// Conductance of `ohm`; 0 for an open (infinite) one.
constexpr double conductance(double ohm) {
    return 1.0 / (ohm > least_ohm ? ohm : least_ohm);
}

/// Conductances between up to `Nodes` nodes, most pairs unconnected.
template <int Nodes>
class Mesh {
  public:
    static constexpr int capacity = Nodes;
    using Row = std::array<double, Nodes>;

    /// What a node's elimination must remember to find its potential again.
    struct Star {
        int node = 0;
        double sum = 0.0;  ///< 0 for a node that hung free
        Row to{};
    };

    /// Lays a conductance between two nodes beside what is there; 0 joins nothing.
    void add(int a, int b, double siemens) {
        if (siemens == 0.0 || a == b) return;
        pairs_[index(a, b)] += siemens;
        joined_[a] |= bit(b);
        joined_[b] |= bit(a);
    }

    /// Siemens between two nodes, 0 where nothing joins them.
    double between(int a, int b) const { return a == b ? 0.0 : pairs_[index(a, b)]; }

    /// Conductances among the first nodes, by `pair_of`, as many as there is room for.
    template <int Pairs>
    void copy_first(double (&out)[Pairs]) const {
        for (int p = 0; p < Pairs; ++p) out[p] = pairs_[p];
    }

    /// Takes `node` out of the network; its neighbours keep the same behaviour at their terminals.
    void reduce(int node) {
        Neighbours all;
        take_out(node, all);
    }

    /// The same, with what is needed to find its potential again.
    Star eliminate(int node) {
        Neighbours all;
        Star star;
        star.node = node;
        star.sum = take_out(node, all);
        for (int i = 0; i < all.count; ++i) star.to[all.node[i]] = all.siemens[i];
        return star;
    }

    /// Potential of an eliminated node from those of its former neighbours, with `injected` amperes into it.
    static double potential(const Star& star, const Row& potentials, double injected = 0.0) {
        if (star.sum == 0.0) return 0.0;
        double current = injected;
        for (int k = 0; k < Nodes; ++k) current += star.to[k] * potentials[k];
        return current / star.sum;
    }

    /// Shares a current injected into a node that is eliminated out among its neighbours' `currents`.
    static void hand_on(const Star& star, double injected, Row& currents) {
        if (star.sum == 0.0 || injected == 0.0) return;
        for (int k = 0; k < Nodes; ++k) currents[k] += injected * star.to[k] / star.sum;
    }

  private:
    using Set = std::uint32_t;
    static_assert(Nodes <= 32);

    static constexpr Set bit(int node) { return Set{1} << static_cast<unsigned>(node); }
    static constexpr int index(int a, int b) { return a < b ? pair_of(a, b) : pair_of(b, a); }

    /// Calls `what` with the members of a set, in increasing order.
    template <typename What>
    static void for_each(Set set, const What& what) {
        for (; set != 0; set &= set - 1) what(std::countr_zero(set));
    }

    /// What a node that is taken out was joined to, and by how many siemens to each.
    struct Neighbours {
        int count = 0;
        std::array<int, Nodes> node;
        std::array<double, Nodes> siemens;
    };

    /// Eliminates `node`; the sum of its star.
    double take_out(int node, Neighbours& all) {
        const Set neighbours = joined_[node];
        double sum = 0.0;
        for_each(neighbours, [&](int k) {
            double& g = pairs_[index(node, k)];
            sum += g;
            all.node[all.count] = k;
            all.siemens[all.count++] = g;
            g = 0.0;
            joined_[k] = (joined_[k] | neighbours) & ~(bit(k) | bit(node));
        });
        joined_[node] = 0;
        if (all.count < 2) return sum;
        const double inverse = 1.0 / sum;
        for (int i = 1; i < all.count; ++i) {
            const double share = all.siemens[i] * inverse;
            double* row = &pairs_[pair_of(0, all.node[i])];
            for (int j = 0; j < i; ++j) row[all.node[j]] += share * all.siemens[j];
        }
        return sum;
    }

    std::array<double, Nodes*(Nodes - 1) / 2> pairs_{};
    std::array<Set, Nodes> joined_{};  ///< neighbours of each node
};

}  // namespace cornerbench::circuit
