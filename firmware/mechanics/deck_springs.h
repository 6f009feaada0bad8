#pragma once

#include <array>
#include <cstddef>

#include "firmware/mechanics/node_spring.h"
#include "firmware/scale/condition.h"

namespace cornerbench::mechanics {

/// One number per node; those beyond the deck's own nodes stay zero.
using Nodes = std::array<double, scale::max_cells>;

/// The first nodes x nodes elements are used, row-major without padding.
using NodeMatrix = std::array<double, std::size_t{scale::max_cells} * scale::max_cells>;

/// Largest magnitude among `values`.
double largest(const Nodes& values);

/// Forces on the deck and the slack points of its contacts.
struct Situation {
    Nodes load_N{};
    std::array<double, scale::max_contacts> anchor_m{};
    std::size_t contacts = 0;  ///< how many of the contacts are there
};

/// Which supports carry, and which contacts stick (0), slide pushing the deck up (1) or down (-1).
struct ActiveSet {
    std::array<bool, scale::max_cells> carries{};
    std::array<signed char, scale::max_contacts> slides{};
    std::size_t contacts = 0;
    bool operator==(const ActiveSet&) const = default;
};

inline constexpr std::size_t max_structure_springs = 3 * scale::max_sections - 5;

/// How many springs a deck's structure is of, and the one with number `index`: the twist of the modules, then
/// the joints of both rails. None where its stiffness is 0.
std::size_t structure_spring_count(const scale::Deck& deck);
NodeSpring structure_spring(const scale::Deck& deck, std::size_t index);

/// Everything that answers when a deck moves, as springs between its nodes and to the ground, and the linear
/// equilibrium while a given set of them is at work.
class DeckSprings {
  public:
    /// No nodes, and so nothing that holds, for a number of sections outside 2 to max_sections.
    explicit DeckSprings(const scale::Condition& condition);

    std::size_t nodes() const { return nodes_; }
    std::size_t contacts() const { return contact_count_; }
    double stiffest_support_N_per_m() const { return largest(stiffness_N_per_m_); }
    /// Largest diagonal element of the stiffness with every spring at work, N/m.
    double stiffest_N_per_m() const { return stiffest_N_per_m_; }
    /// Largest height error of a support, either way.
    double highest_m() const { return highest_m_; }
    double support_stiffness_N_per_m(std::size_t i) const { return stiffness_N_per_m_[i]; }
    double friction_limit_N(std::size_t contact) const { return friction_limit_N_[contact]; }
    const NodeSpring& contact(std::size_t index) const { return contacts_[index]; }

    /// Displacements of the deck, down positive, when support i is pressed together by `squeeze[i]`
    /// (negative: a gap). Equilibria are sought in `squeeze` and not in the displacement, which differs by
    /// the heights: so a support's force is one product, without the rounding of a subtraction.
    Nodes displacement(const Nodes& squeeze) const;

    /// Every support carries and every contact sticks.
    ActiveSet usual_set(const Situation& situation) const;

    /// The set that `squeeze` calls for. With `held`, whose equilibrium it is, whatever differs from that by
    /// no more than rounding stays as it is.
    ActiveSet set_at(const Situation& situation, const Nodes& squeeze, const ActiveSet* held) const;

    /// Stiffness of `set`, N/m, with `softness` added under every node.
    void assemble(const ActiveSet& set, double softness_N_per_m, NodeMatrix& matrix) const;

    /// Factors the stiffness of `set` into `memory`, or finds it already factored: where the factor is, or
    /// null when the set is a mechanism.
    const NodeMatrix* factor(const ActiveSet& set, NodeMatrix& memory) const;

    /// The loads less every force that the deck meets while `set` lasts.
    Nodes residual(const Situation& situation, const ActiveSet& set, const Nodes& squeeze) const;

    /// Equilibrium of `set`, refined until only rounding is left. False when refining does not get there: the
    /// set is a mechanism, held by nothing but the rounding errors in its factor.
    [[nodiscard]] bool solve(const Situation& situation, const ActiveSet& set, const NodeMatrix& factor,
                             Nodes& squeeze) const;

  private:
    std::size_t nodes_ = 0;
    Nodes stiffness_N_per_m_{};
    Nodes height_m_{};
    double highest_m_ = 0.0;
    double stiffest_N_per_m_ = 0.0;
    std::array<NodeSpring, max_structure_springs> structure_{};
    std::size_t structure_count_ = 0;
    std::array<NodeSpring, scale::max_contacts> contacts_{};
    std::array<double, scale::max_contacts> friction_limit_N_{};
    std::size_t contact_count_ = 0;
    NodeMatrix usual_factor_{};
    bool usual_set_holds_ = false;
};

/// Bilinear weights, at the nodes, of the module at x or of the nearest one on an overhang.
NodeWeights weights_at(const scale::Deck& deck, double x_m, double y_m);

}  // namespace cornerbench::mechanics
