#include "firmware/mechanics/carried_deck.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cornerbench::mechanics {

namespace {

// A support that carries less than this part of the most laden one may be lifting off.
constexpr double barely_carries = 1e-9;

}  // namespace

CarriedDeck::CarriedDeck(const scale::Condition& condition) {
    scale::Condition untouched = condition;
    untouched.contact_count = 0;
    const DeckModel model(untouched);
    model.slack_when_empty(&empty_);
    if (empty_.error != DeckError::none) return;
    nodes_ = 2 * static_cast<std::size_t>(condition.deck.sections);
    holds_ = true;
    for (std::size_t i = 0; i < nodes_; ++i) {
        stiffness_N_per_m_[i] = condition.supports[i].stiffness_N_per_m;
        holds_ = holds_ && !empty_.lifted[i];
    }
    influence_ = model.influence(empty_);
}

Nodes CarriedDeck::pressed_m(const Nodes& load_N) const {
    Nodes pressed{};
    for (std::size_t i = 0; i < nodes_; ++i) {
        for (std::size_t j = 0; j < nodes_; ++j) pressed[i] += influence_[i][j] * load_N[j];
        pressed[i] /= stiffness_N_per_m_[i];
    }
    return pressed;
}

TouchedDeck::TouchedDeck(const CarriedDeck& carried, const scale::Deck& deck, const scale::Contact& contact)
    : carried_(carried), along_(weights_at(deck, contact.x_m, contact.y_m)) {
    if (contact.stiffness_N_per_m > 0.0 && contact.friction_limit_N > 0.0) {
        stiffness_N_per_m_ = contact.stiffness_N_per_m;
        friction_limit_N_ = contact.friction_limit_N;
    }
    Nodes newton{};
    along_.spread(1.0, newton);
    answer_m_per_N_ = carried.pressed_m(newton);
    share_ = 1.0 / (1.0 + stiffness_N_per_m_ * along_.of(answer_m_per_N_));

    sticking_ = carried.influence();
    const double stuck_N_per_m = stiffness_N_per_m_ * share_;
    for (std::size_t i = 0; i < carried.nodes(); ++i) {
        const double taken = carried.support_stiffness_N_per_m(i) * answer_m_per_N_[i] * stuck_N_per_m;
        for (std::size_t j = 0; j < carried.nodes(); ++j) sticking_[i][j] -= taken * answer_m_per_N_[j];
    }
}

ContactMemory TouchedDeck::slack_when_empty() const {
    ContactMemory memory;
    memory.anchor_m[0] = along_.of(carried_.empty().displacement_m);
    return memory;
}

bool TouchedDeck::settle(const Nodes& pressed_m, double times, ContactMemory& memory,
                         DeckState& state) const {
    const DeckState& empty = carried_.empty();
    const double untouched_m = along_.of(empty.displacement_m) + times * along_.of(pressed_m);
    const double sticking_N = stiffness_N_per_m_ * (untouched_m - memory.anchor_m[0]) * share_;
    // A contact that slid to its limit and is loaded so again sticks there: rounding must not push it on.
    const double slack_N = 32.0 * std::numeric_limits<double>::epsilon() *
                           (friction_limit_N_ + stiffness_N_per_m_ * share_ *
                                                    (std::fabs(untouched_m) + std::fabs(memory.anchor_m[0])));
    const bool slides = std::fabs(sticking_N) > friction_limit_N_ + slack_N;
    const double force_N = std::clamp(sticking_N, -friction_limit_N_, friction_limit_N_);

    state.error = DeckError::none;
    double most = 0.0;
    for (std::size_t i = 0; i < carried_.nodes(); ++i) {
        const double moved_m = times * pressed_m[i] - force_N * answer_m_per_N_[i];
        state.displacement_m[i] = empty.displacement_m[i] + moved_m;
        state.support_N[i] = empty.support_N[i] + carried_.support_stiffness_N_per_m(i) * moved_m;
        most = std::max(most, state.support_N[i]);
    }
    for (std::size_t i = 0; i < carried_.nodes(); ++i)
        if (!(state.support_N[i] > barely_carries * most)) return false;

    state.contact_N[0] = force_N;
    state.sliding[0] = slides;
    if (slides) memory.anchor_m[0] = along_.of(state.displacement_m) - force_N / stiffness_N_per_m_;
    return true;
}

}  // namespace cornerbench::mechanics
