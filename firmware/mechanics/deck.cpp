#include "firmware/mechanics/deck.h"

#include <algorithm>

#include "firmware/mechanics/equilibrium.h"
#include "firmware/numbers/dense.h"

namespace cornerbench::mechanics {

namespace {

DeckState state_of(const DeckSprings& springs, const Situation& situation) {
    DeckState state;
    state.error = DeckError::mechanism;
    if (springs.nodes() == 0) return state;
    ActiveSet set;
    Nodes squeeze{};
    const Found found = find_equilibrium(springs, situation, set, squeeze);
    if (found == Found::nothing) state.error = DeckError::not_consistent;
    if (found != Found::equilibrium) return state;

    state.error = DeckError::none;
    state.displacement_m = springs.displacement(squeeze);
    for (std::size_t i = 0; i < springs.nodes(); ++i) {
        state.lifted[i] = !set.carries[i];
        if (set.carries[i])
            state.support_N[i] = std::max(springs.support_stiffness_N_per_m(i) * squeeze[i], 0.0);
    }
    for (std::size_t c = 0; c < set.contacts; ++c) {
        const double limit = springs.friction_limit_N(c);
        const NodeSpring& contact = springs.contact(c);
        const double stretch = contact.along.of(state.displacement_m) - situation.anchor_m[c];
        state.sliding[c] = set.slides[c] != 0;
        state.contact_N[c] =
            state.sliding[c] ? set.slides[c] * limit : std::clamp(contact.stiffness * stretch, -limit, limit);
    }
    return state;
}

}  // namespace

std::array<double, scale::max_cells> node_shares(const scale::Deck& deck, double x_m, double y_m) {
    std::array<double, scale::max_cells> shares{};
    weights_at(deck, x_m, y_m).spread(1.0, shares);
    return shares;
}

std::array<double, scale::max_cells> dead_load_N(const scale::Deck& deck, double gravity) {
    const double first = deck.section_x_m[0];
    const double last = deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)];
    const double per_m = deck.mass_kg * gravity / (last - first + 2.0 * deck.overhang_m);
    Nodes load_N{};
    // Shares are linear inside a module and on its overhang: an even load there acts as all of it midway.
    const auto add = [&](double from, double to) {
        weights_at(deck, 0.5 * (from + to), 0.5 * deck.width_m).spread(per_m * (to - from), load_N);
    };
    add(first - deck.overhang_m, first);
    for (std::size_t s = 0; s + 1 < static_cast<std::size_t>(deck.sections); ++s)
        add(deck.section_x_m[s], deck.section_x_m[s + 1]);
    add(last, last + deck.overhang_m);
    return load_N;
}

DeckModel::DeckModel(const scale::Condition& condition) : deck_(condition.deck), springs_(condition) {
    for (std::size_t i = 0; i < springs_.nodes(); ++i) bound_share_[i] = condition.supports[i].bound_share;
    if (springs_.nodes() != 0) dead_load_N_ = mechanics::dead_load_N(deck_, condition.gravity);
}

DeckState DeckModel::settle(std::span<const PointLoad> loads, ContactMemory& memory) const {
    Situation situation{dead_load_N_, memory.anchor_m, springs_.contacts()};
    if (springs_.nodes() != 0)
        for (const PointLoad& load : loads)
            weights_at(deck_, load.x_m, load.y_m).spread(load.force_N, situation.load_N);
    const DeckState state = state_of(springs_, situation);
    for (std::size_t c = 0; c < springs_.contacts(); ++c)
        if (state.sliding[c])
            memory.anchor_m[c] = springs_.contact(c).along.of(state.displacement_m) -
                                 state.contact_N[c] / springs_.contact(c).stiffness;
    return state;
}

ContactMemory DeckModel::slack_when_empty(DeckState* empty) const {
    const DeckState state = state_of(springs_, {dead_load_N_, {}, 0});
    ContactMemory memory;
    for (std::size_t c = 0; c < springs_.contacts(); ++c)
        memory.anchor_m[c] = springs_.contact(c).along.of(state.displacement_m);
    if (empty != nullptr) *empty = state;
    return memory;
}

DeckModel::Influence DeckModel::influence(const DeckState& state) const {
    Influence influence{};
    if (state.error != DeckError::none) return influence;
    const std::size_t nodes = springs_.nodes();
    ActiveSet set;
    set.contacts = springs_.contacts();
    for (std::size_t i = 0; i < nodes; ++i) set.carries[i] = !state.lifted[i];
    for (std::size_t c = 0; c < set.contacts; ++c) set.slides[c] = state.sliding[c] ? 1 : 0;

    NodeMatrix memory;
    const NodeMatrix* factor = springs_.factor(set, memory);
    if (factor == nullptr) return influence;
    for (std::size_t j = 0; j < nodes; ++j) {
        Nodes squeeze{};
        squeeze[j] = 1.0;
        numbers::solve_factored(*factor, static_cast<int>(nodes), squeeze);
        for (std::size_t i = 0; i < nodes; ++i)
            if (set.carries[i]) influence[i][j] = springs_.support_stiffness_N_per_m(i) * squeeze[i];
    }
    return influence;
}

std::array<double, scale::max_cells> DeckModel::cell_forces(const DeckState& loaded,
                                                            const DeckState& empty) const {
    std::array<double, scale::max_cells> forces{};
    for (std::size_t i = 0; i < springs_.nodes(); ++i)
        forces[i] = empty.support_N[i] + (1.0 - bound_share_[i]) * (loaded.support_N[i] - empty.support_N[i]);
    return forces;
}

}  // namespace cornerbench::mechanics
