#pragma once

#include <array>
#include <span>

#include "firmware/mechanics/deck.h"
#include "firmware/scale/condition.h"

namespace cornerbench::world {

/// One number per support, which is one per node of the deck.
using Supports = std::array<double, scale::max_cells>;

/// Support forces of one scale, load after load.
///
/// While every support carries and nothing else touches the deck, the forces are an affine function of the
/// loads at the nodes: one small product with factors found once. That is no approximation: with every
/// support pressed, what it gives is the one equilibrium. Otherwise the deck is settled, each time its load
/// changes, with contacts that remember.
class DeckInTime {
  public:
    /// The empty deck; `error` says whether it stands.
    explicit DeckInTime(const scale::Condition& condition);

    /// The deck has changed under its load. `kept[c]` says which contact of the old condition contact c of
    /// the new one is, -1 for a new one, which begins without force where the deck now is. A support that
    /// binds carries past its cell only what comes from now on. Settles.
    void change(const scale::Condition& condition, std::span<const int> kept);

    /// Brings the loads at the nodes, N, on top of the deck's own. False when they are as before.
    bool carry(const Supports& node_N);

    /// The same without the product: settled in every case.
    void settle(const Supports& node_N);

    /// Of each cell, N: what its support carries less what is bound past it.
    const Supports& cell_N() const { return cell_N_; }
    const Supports& support_N() const { return support_N_; }
    const mechanics::DeckState& empty() const { return empty_; }
    /// After an error the forces stay what they were.
    mechanics::DeckError error() const { return error_; }

  private:
    void learn_response();
    void past_bound_supports();

    scale::Deck deck_;
    std::size_t count_ = 0;
    std::size_t contact_count_ = 0;
    std::array<scale::Contact, scale::max_contacts> contacts_{};
    Supports bound_share_{};
    // What support and cell carried when the support bound, or its share last changed.
    Supports bound_support_N_{};
    Supports bound_cell_N_{};
    mechanics::DeckModel model_;
    mechanics::DeckState empty_;
    mechanics::ContactMemory memory_;
    mechanics::DeckError error_ = mechanics::DeckError::none;

    bool affine_ = false;  ///< `response_` holds where it presses every support
    /// By node, so that the sum runs along rows: force on every support per newton at the node.
    std::array<Supports, scale::max_cells> response_{};

    bool settled_ = false;  ///< `displacement_m_` belongs to the loads carried now
    Supports displacement_m_{};
    Supports node_N_{};
    Supports support_N_{};
    Supports cell_N_{};
};

}  // namespace cornerbench::world
