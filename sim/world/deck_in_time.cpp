#include "sim/world/deck_in_time.h"

#include <algorithm>

#include "firmware/scale/numbering.h"

namespace cornerbench::world {

DeckInTime::DeckInTime(const scale::Condition& condition)
    : deck_(condition.deck),
      count_(static_cast<std::size_t>(condition.cell_count)),
      contact_count_(static_cast<std::size_t>(condition.contact_count)),
      contacts_(condition.contacts),
      model_(condition) {
    for (std::size_t i = 0; i < count_; ++i) bound_share_[i] = condition.supports[i].bound_share;
    memory_ = model_.slack_when_empty(&empty_);
    error_ = empty_.error;
    displacement_m_ = empty_.displacement_m;
    settled_ = true;
    support_N_ = cell_N_ = empty_.support_N;
    bound_support_N_ = bound_cell_N_ = empty_.support_N;
    learn_response();
}

void DeckInTime::learn_response() {
    affine_ = empty_.error == mechanics::DeckError::none && contact_count_ == 0;
    for (std::size_t i = 0; i < count_; ++i) affine_ = affine_ && !empty_.lifted[i];
    if (!affine_) return;
    const mechanics::DeckModel::Influence influence = model_.influence(empty_);
    for (std::size_t node = 0; node < count_; ++node)
        for (std::size_t i = 0; i < count_; ++i) response_[node][i] = influence[i][node];
}

void DeckInTime::change(const scale::Condition& condition, std::span<const int> kept) {
    if (!settled_) settle(node_N_);
    const DeckInTime before = *this;
    *this = DeckInTime(condition);
    for (std::size_t i = 0; i < count_; ++i) {
        const bool as_before = bound_share_[i] == before.bound_share_[i];
        bound_support_N_[i] = as_before ? before.bound_support_N_[i] : before.support_N_[i];
        bound_cell_N_[i] = as_before ? before.bound_cell_N_[i] : before.cell_N_[i];
    }
    for (std::size_t c = 0; c < contact_count_; ++c) {
        const int old = c < kept.size() ? kept[c] : -1;
        const scale::Contact& contact = contacts_[c];
        memory_.anchor_m[c] =
            old >= 0 ? before.memory_.anchor_m[static_cast<std::size_t>(old)]
                     : mechanics::weights_at(deck_, contact.x_m, contact.y_m).of(before.displacement_m_);
    }
    // Unless the new deck cannot stand, in which case nothing moves.
    support_N_ = before.support_N_;
    cell_N_ = before.cell_N_;
    displacement_m_ = before.displacement_m_;
    settle(before.node_N_);
}

bool DeckInTime::carry(const Supports& node_N) {
    if (node_N == node_N_) return false;
    if (!affine_) {
        settle(node_N);
        return true;
    }
    Supports force = empty_.support_N;
    for (std::size_t node = 0; node < count_; ++node) {
        if (node_N[node] == 0.0) continue;
        for (std::size_t i = 0; i < count_; ++i) force[i] += response_[node][i] * node_N[node];
    }
    bool pressed = true;
    for (std::size_t i = 0; i < count_; ++i) pressed = pressed && force[i] > 0.0;
    if (!pressed) {
        settle(node_N);
        return true;
    }
    node_N_ = node_N;
    settled_ = false;
    error_ = mechanics::DeckError::none;
    support_N_ = force;
    past_bound_supports();
    return true;
}

void DeckInTime::settle(const Supports& node_N) {
    std::array<mechanics::PointLoad, scale::max_cells> loads{};
    for (std::size_t i = 0; i < count_; ++i) {
        const int support = static_cast<int>(i);
        const auto section = static_cast<std::size_t>(scale::section_of(support, deck_.sections));
        loads[i] = {deck_.section_x_m[section], scale::is_far(support, deck_.sections) ? deck_.width_m : 0.0,
                    node_N[i]};
    }
    node_N_ = node_N;
    const mechanics::DeckState state = model_.settle(std::span(loads).first(count_), memory_);
    error_ = state.error;
    if (error_ != mechanics::DeckError::none) return;
    settled_ = true;
    displacement_m_ = state.displacement_m;
    support_N_ = state.support_N;
    past_bound_supports();
}

void DeckInTime::past_bound_supports() {
    for (std::size_t i = 0; i < count_; ++i) {
        cell_N_[i] = bound_share_[i] == 0.0
                         ? support_N_[i]
                         : bound_cell_N_[i] + (1.0 - bound_share_[i]) * (support_N_[i] - bound_support_N_[i]);
    }
}

}  // namespace cornerbench::world
