#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

namespace cornerbench::mechanics {

/// A weighted sum of at most four nodes' values: the displacement of a point of the deck, the twist of a
/// module, the slope break of a rail at a joint.
struct NodeWeights {
    std::array<std::uint8_t, 4> node{};
    std::array<double, 4> weight{};

    /// The sum's value for one value per node.
    double of(std::span<const double> values) const {
        return weight[0] * values[node[0]] + weight[1] * values[node[1]] + weight[2] * values[node[2]] +
               weight[3] * values[node[3]];
    }

    /// Adds `amount` times each weight to its node.
    void spread(double amount, std::span<double> values) const {
        for (std::size_t a = 0; a < 4; ++a) values[node[a]] += amount * weight[a];
    }
};

/// A spring that resists a weighted sum of the nodes' displacements.
struct NodeSpring {
    NodeWeights along;
    double stiffness = 0.0;  ///< N per unit of the sum, work-conjugate: N/m, or N m/rad for an angle

    /// Takes this spring's forces on the nodes, at displacements `z`, from `forces`.
    void hold(std::span<const double> z, std::span<double> forces) const {
        along.spread(-stiffness * along.of(z), forces);
    }

    /// Adds this spring to the row-major stiffness matrix of `nodes` nodes.
    void stiffen(std::span<double> matrix, std::size_t nodes) const {
        for (std::size_t a = 0; a < 4; ++a)
            for (std::size_t b = 0; b < 4; ++b)
                matrix[along.node[a] * nodes + along.node[b]] +=
                    stiffness * along.weight[a] * along.weight[b];
    }
};

}  // namespace cornerbench::mechanics
