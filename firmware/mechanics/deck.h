#pragma once

#include <array>
#include <span>

#include "firmware/mechanics/deck_springs.h"
#include "firmware/scale/condition.h"

/// From loads on the deck to the force on each support.
///
/// The deck's downward displacement z is bilinear inside a module and continuous across a section line, so
/// the supports are the nodes. Modules are stiff in bending: a flexible continuous beam is outside this
/// model. With f_i = k_i (z_i + h_i), never tensile,
///
///   (diag(k) + twist + joints + contacts) z = loads - k h,
///
/// solved for a set of carrying supports and of sticking contacts that is consistent with its own result.
/// Each support that may lift off and each contact that may slide has an energy that is convex in z, so that
/// this set gives the one lowest energy; the search goes downhill and cannot cycle.
namespace cornerbench::mechanics {

/// A vertical force on the deck; x and y as in scale/numbering.h. Overhangs are extrapolated.
struct PointLoad {
    double x_m = 0.0;
    double y_m = 0.0;
    double force_N = 0.0;
};

/// Why a deck has no equilibrium.
enum class DeckError : unsigned char {
    none,
    mechanism,      ///< nothing left holds the deck: too many supports lifted off
    not_consistent  ///< no set of carrying supports and sticking contacts agrees with its own forces
};

/// Share of a unit load at (x, y) that enters at each node; sums to 1. Outside the supports shares are
/// extrapolated and may be negative. Needs at least two sections.
std::array<double, scale::max_cells> node_shares(const scale::Deck& deck, double x_m, double y_m);

/// The deck's own weight, in N, as it enters at each node: spread evenly over its length, overhangs included.
/// Needs at least two sections.
std::array<double, scale::max_cells> dead_load_N(const scale::Deck& deck, double gravity);

/// Memory of the contacts along a loading history: where each one's spring is slack.
struct ContactMemory {
    std::array<double, scale::max_contacts> anchor_m{};
};

/// What the deck does under one set of loads.
struct DeckState {
    DeckError error = DeckError::none;
    std::array<double, scale::max_cells> support_N{};       ///< reaction of each support, before any binding
    std::array<double, scale::max_cells> displacement_m{};  ///< z at each node, down positive
    std::array<bool, scale::max_cells> lifted{};            ///< support carries nothing
    std::array<double, scale::max_contacts> contact_N{};    ///< upward force of each contact on the deck
    std::array<bool, scale::max_contacts> sliding{};
};

/// The stiffness of one condition's deck; solves for loads. Takes what it needs from the condition, which
/// need not outlive it and whose later edits it does not see. Settling is cheap while every support carries
/// and no contact slides, for that stiffness is factored once: build a model once and settle it often.
class DeckModel {
  public:
    /// `condition.deck` has 2 to max_sections sections with increasing positions and a width above zero; with
    /// another number of sections every settling is a mechanism.
    explicit DeckModel(const scale::Condition& condition);

    /// Forces under the deck's own mass and `loads`, with the contacts where `memory` left them; afterwards
    /// `memory` holds their new slack points. The loads come in one step: a contact feels only the change
    /// from its slack point. On an error `memory` is untouched and the state's forces are zero.
    DeckState settle(std::span<const PointLoad> loads, ContactMemory& memory) const;

    /// Contacts slack in the position that the deck takes under its own mass alone: how a scale begins.
    /// `empty`, when given, receives that state, with its error if even the empty deck does not stand. A deck
    /// that rocks on two corners is taken to rest on one of its two sides.
    ContactMemory slack_when_empty(DeckState* empty = nullptr) const;

    /// Change of each support's force per newton entering at each node, at `state`'s set of carrying supports
    /// and sticking contacts: row = support, column = node. Multiply by `node_shares` for the effect of a
    /// load's mass or place. All zero for a state with an error.
    using Influence = std::array<std::array<double, scale::max_cells>, scale::max_cells>;
    Influence influence(const DeckState& state) const;

    /// Force that each cell feels, in N, when the support forces are `loaded` and were `empty` when it bound:
    /// a bound support passes only part of the change through its cell.
    std::array<double, scale::max_cells> cell_forces(const DeckState& loaded, const DeckState& empty) const;

    /// The deck's own weight, in N, as it enters at each node.
    const std::array<double, scale::max_cells>& dead_load_N() const { return dead_load_N_; }

  private:
    scale::Deck deck_;
    DeckSprings springs_;
    std::array<double, scale::max_cells> bound_share_{};
    std::array<double, scale::max_cells> dead_load_N_{};
};

}  // namespace cornerbench::mechanics
