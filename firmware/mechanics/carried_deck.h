#pragma once

#include "firmware/mechanics/deck.h"

namespace cornerbench::mechanics {

/// Statics by superposition, for a deck that no load lifts off a support: solved once without contacts, it
/// answers every load by one product, and one contact by one equation.
class CarriedDeck {
  public:
    /// Stands nowhere yet: does not hold.
    CarriedDeck() = default;
    /// The condition's deck without its contacts.
    explicit CarriedDeck(const scale::Condition& condition);

    /// True when every support carries the empty deck; nothing below is meant without that.
    bool holds() const { return holds_; }

    const DeckState& empty() const { return empty_; }
    /// As DeckModel::influence of the empty deck.
    const DeckModel::Influence& influence() const { return influence_; }

    /// How far each node goes down under `load_N` at the nodes, in m.
    Nodes pressed_m(const Nodes& load_N) const;

    std::size_t nodes() const { return nodes_; }
    double support_stiffness_N_per_m(std::size_t i) const { return stiffness_N_per_m_[i]; }

  private:
    bool holds_ = false;
    std::size_t nodes_ = 0;
    Nodes stiffness_N_per_m_{};
    DeckState empty_;
    DeckModel::Influence influence_{};
};

/// A carried deck that one contact touches. While it sticks, the contact's force t, up positive, follows from
/// how far its place would go down without it: t = k (s - g t), with g its answer to a newton there.
class TouchedDeck {
  public:
    /// `carried` holds and outlives this.
    TouchedDeck(const CarriedDeck& carried, const scale::Deck& deck, const scale::Contact& contact);

    /// As DeckModel::slack_when_empty.
    ContactMemory slack_when_empty() const;

    /// As DeckModel::settle, with `times` a load that presses the nodes of the untouched deck down by
    /// `pressed_m`. False when a support would lift off: then `memory` is untouched.
    [[nodiscard]] bool settle(const Nodes& pressed_m, double times, ContactMemory& memory,
                              DeckState& state) const;

    /// As DeckModel::influence, of the contact sticking or sliding.
    const DeckModel::Influence& influence(bool sliding) const {
        return sliding ? carried_.influence() : sticking_;
    }

  private:
    const CarriedDeck& carried_;
    NodeWeights along_;
    double stiffness_N_per_m_ = 0.0;
    double friction_limit_N_ = 0.0;
    Nodes answer_m_per_N_{};
    double share_ = 0.0;  ///< t per newton that the contact would carry if it moved nothing
    DeckModel::Influence sticking_{};
};

}  // namespace cornerbench::mechanics
