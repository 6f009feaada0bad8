#pragma once

#include <array>

/// A network of conductances, reduced by star-mesh elimination.
///
/// Eliminating a node replaces its star of conductances by a mesh between its neighbours: the Schur
/// complement of nodal analysis written without a subtraction. Sums, products and quotients of positive
/// numbers alone keep every entry's relative accuracy, whatever the spread between a 20 milliohm joint and a
/// gigohm leak.
namespace cornerbench::circuit {

/// Conductance of `ohm`; 0 for an open (infinite) one.
constexpr double conductance(double ohm) {
    return ohm > 1.0e300 ? 0.0 : 1.0 / ohm;
}

/// Conductances between up to `Nodes` nodes.
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

    void add(int a, int b, double siemens) {
        at(a, b) += siemens;
        at(b, a) = at(a, b);
    }

    double between(int a, int b) const { return rows_[static_cast<unsigned>(a)][static_cast<unsigned>(b)]; }

    /// Takes `node` out of the network; its neighbours keep the same behaviour at their terminals.
    Star eliminate(int node) {
        Star star;
        star.node = node;
        std::array<int, Nodes> neighbours{};
        int count = 0;
        Row& row = rows_[static_cast<unsigned>(node)];
        for (int k = 0; k < Nodes; ++k) {
            const double g = row[static_cast<unsigned>(k)];
            if (g == 0.0) continue;
            star.sum += g;
            star.to[static_cast<unsigned>(k)] = g;
            neighbours[static_cast<unsigned>(count++)] = k;
        }
        for (int i = 0; i < count; ++i) {
            const int a = neighbours[static_cast<unsigned>(i)];
            const double share = star.to[static_cast<unsigned>(a)] / star.sum;
            for (int j = i + 1; j < count; ++j) {
                const int b = neighbours[static_cast<unsigned>(j)];
                add(a, b, share * star.to[static_cast<unsigned>(b)]);
            }
            at(a, node) = 0.0;
        }
        row = {};
        return star;
    }

    /// Potential of an eliminated node from those of its former neighbours, with `injected` amperes into it.
    static double potential(const Star& star, const Row& potentials, double injected = 0.0) {
        if (star.sum == 0.0) return 0.0;
        double current = injected;
        for (int k = 0; k < Nodes; ++k) {
            current += star.to[static_cast<unsigned>(k)] * potentials[static_cast<unsigned>(k)];
        }
        return current / star.sum;
    }

    /// Shares a current injected into a node that is eliminated out among its neighbours' `currents`.
    static void hand_on(const Star& star, double injected, Row& currents) {
        if (star.sum == 0.0 || injected == 0.0) return;
        for (int k = 0; k < Nodes; ++k) {
            currents[static_cast<unsigned>(k)] += injected * star.to[static_cast<unsigned>(k)] / star.sum;
        }
    }

  private:
    double& at(int a, int b) { return rows_[static_cast<unsigned>(a)][static_cast<unsigned>(b)]; }

    std::array<Row, Nodes> rows_{};
};

}  // namespace cornerbench::circuit
