#include "firmware/mechanics/deck_springs.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "firmware/numbers/dense.h"

namespace cornerbench::mechanics {

namespace {

constexpr double rounding = std::numeric_limits<double>::epsilon();

// A refined solution that still moves by more than this part of itself is none.
constexpr double settled_part = 1e-9;

constexpr int most_passes = 7;

std::uint8_t node_at(int section, bool far, int sections) {
    return static_cast<std::uint8_t>(scale::support_at(section, far, sections));
}

}  // namespace

NodeWeights weights_at(const scale::Deck& deck, double x_m, double y_m) {
    int left = 0;
    const auto section_x = [&](int section) { return deck.section_x_m[static_cast<std::size_t>(section)]; };
    while (left < deck.sections - 2 && x_m > section_x(left + 1)) ++left;
    const double left_x = section_x(left);
    const double right_x = section_x(left + 1);
    const double along = (x_m - left_x) / (right_x - left_x);
    const double across = y_m / deck.width_m;
    return {{node_at(left, true, deck.sections), node_at(left + 1, true, deck.sections),
             node_at(left + 1, false, deck.sections), node_at(left, false, deck.sections)},
            {(1.0 - along) * across, along * across, along * (1.0 - across), (1.0 - along) * (1.0 - across)}};
}

std::size_t structure_spring_count(const scale::Deck& deck) {
    const auto sections = static_cast<std::size_t>(deck.sections);
    return (deck.twist_stiffness_N_m_per_rad > 0.0 ? sections - 1 : 0) +
           (deck.joint_stiffness_N_m_per_rad > 0.0 ? 2 * (sections - 2) : 0);
}

NodeSpring structure_spring(const scale::Deck& deck, std::size_t index) {
    const int sections = deck.sections;
    const auto modules = static_cast<std::size_t>(sections - 1);
    const bool twists = deck.twist_stiffness_N_m_per_rad > 0.0;
    if (twists && index < modules) {
        const int module = static_cast<int>(index);
        return {{{node_at(module, true, sections), node_at(module + 1, true, sections),
                  node_at(module + 1, false, sections), node_at(module, false, sections)},
                 {1.0, -1.0, 1.0, -1.0}},
                deck.twist_stiffness_N_m_per_rad / (deck.width_m * deck.width_m)};
    }
    const std::size_t joint = index - (twists ? modules : 0);
    const auto at = joint / 2 + 1;
    const int line = static_cast<int>(at);
    const bool far = joint % 2 == 0;
    const double per_left = 1.0 / (deck.section_x_m[at] - deck.section_x_m[at - 1]);
    const double per_right = 1.0 / (deck.section_x_m[at + 1] - deck.section_x_m[at]);
    const std::uint8_t middle = node_at(line, far, sections);
    return {{{node_at(line - 1, far, sections), middle, node_at(line + 1, far, sections), middle},
             {per_left, -per_left, per_right, -per_right}},
            deck.joint_stiffness_N_m_per_rad};
}

double largest(const Nodes& values) {
    double size = 0.0;
    for (const double value : values) size = std::max(size, std::fabs(value));
    return size;
}

DeckSprings::DeckSprings(const scale::Condition& condition) {
    const scale::Deck& deck = condition.deck;
    if (deck.sections < 2 || deck.sections > scale::max_sections) return;
    nodes_ = 2 * static_cast<std::size_t>(deck.sections);
    for (std::size_t i = 0; i < nodes_; ++i) {
        stiffness_N_per_m_[i] = condition.supports[i].stiffness_N_per_m;
        height_m_[i] = condition.supports[i].height_m;
    }
    highest_m_ = largest(height_m_);
    structure_count_ = structure_spring_count(deck);
    for (std::size_t s = 0; s < structure_count_; ++s) structure_[s] = structure_spring(deck, s);

    contact_count_ = static_cast<std::size_t>(std::clamp(condition.contact_count, 0, scale::max_contacts));
    for (std::size_t c = 0; c < contact_count_; ++c) {
        const scale::Contact& contact = condition.contacts[c];
        const bool acts = contact.stiffness_N_per_m > 0.0 && contact.friction_limit_N > 0.0;
        contacts_[c] = {weights_at(deck, contact.x_m, contact.y_m), acts ? contact.stiffness_N_per_m : 0.0};
        friction_limit_N_[c] = acts ? contact.friction_limit_N : 0.0;
    }

    Situation unloaded;
    unloaded.contacts = contact_count_;
    assemble(usual_set(unloaded), 0.0, usual_factor_);
    for (std::size_t i = 0; i < nodes_; ++i)
        stiffest_N_per_m_ = std::max(stiffest_N_per_m_, usual_factor_[i * nodes_ + i]);
    usual_set_holds_ = numbers::cholesky(usual_factor_, static_cast<int>(nodes_));
}

Nodes DeckSprings::displacement(const Nodes& squeeze) const {
    Nodes z{};
    for (std::size_t i = 0; i < nodes_; ++i) z[i] = squeeze[i] - height_m_[i];
    return z;
}

ActiveSet DeckSprings::usual_set(const Situation& situation) const {
    ActiveSet set;
    for (std::size_t i = 0; i < nodes_; ++i) set.carries[i] = true;
    set.contacts = situation.contacts;
    return set;
}

ActiveSet DeckSprings::set_at(const Situation& situation, const Nodes& squeeze, const ActiveSet* held) const {
    const Nodes z = displacement(squeeze);
    const double load = largest(situation.load_N);
    const double reach = std::max(largest(z), highest_m_);
    const auto negligible = [&](double stiffness, double offset) {
        return held == nullptr ? 0.0
                               : rounding * (32.0 * load + 4.0 * stiffness * (reach + std::fabs(offset)));
    };

    ActiveSet set;
    set.contacts = situation.contacts;
    for (std::size_t i = 0; i < nodes_; ++i) {
        const double k = stiffness_N_per_m_[i];
        const double slack = negligible(k, 0.0);
        set.carries[i] = k * squeeze[i] >= (held != nullptr && !held->carries[i] ? slack : -slack);
    }
    for (std::size_t c = 0; c < situation.contacts; ++c) {
        const double k = contacts_[c].stiffness;
        const double force = k * (contacts_[c].along.of(z) - situation.anchor_m[c]);
        const double slack = negligible(k, situation.anchor_m[c]);
        const bool slid = held != nullptr && held->slides[c] != 0;
        if (slid && force * held->slides[c] >= friction_limit_N_[c] - slack)
            set.slides[c] = held->slides[c];
        else if (std::fabs(force) > friction_limit_N_[c] + (slid ? 0.0 : slack))
            set.slides[c] = force > 0.0 ? 1 : -1;
    }
    return set;
}

void DeckSprings::assemble(const ActiveSet& set, double softness_N_per_m, NodeMatrix& matrix) const {
    std::fill_n(matrix.begin(), nodes_ * nodes_, 0.0);
    for (std::size_t i = 0; i < nodes_; ++i)
        matrix[i * nodes_ + i] = softness_N_per_m + (set.carries[i] ? stiffness_N_per_m_[i] : 0.0);
    for (std::size_t s = 0; s < structure_count_; ++s) structure_[s].stiffen(matrix, nodes_);
    for (std::size_t c = 0; c < set.contacts; ++c)
        if (set.slides[c] == 0) contacts_[c].stiffen(matrix, nodes_);
}

const NodeMatrix* DeckSprings::factor(const ActiveSet& set, NodeMatrix& memory) const {
    Situation everything;
    everything.contacts = contact_count_;
    if (set == usual_set(everything)) return usual_set_holds_ ? &usual_factor_ : nullptr;
    assemble(set, 0.0, memory);
    return numbers::cholesky(memory, static_cast<int>(nodes_)) ? &memory : nullptr;
}

// Spring by spring and not by the matrix: so a stiff structure's rounding errors are forces in equilibrium
// among themselves, which the supports never feel.
Nodes DeckSprings::residual(const Situation& situation, const ActiveSet& set, const Nodes& squeeze) const {
    const Nodes z = displacement(squeeze);
    Nodes left = situation.load_N;
    for (std::size_t i = 0; i < nodes_; ++i)
        if (set.carries[i]) left[i] -= stiffness_N_per_m_[i] * squeeze[i];
    for (std::size_t s = 0; s < structure_count_; ++s) structure_[s].hold(z, left);
    for (std::size_t c = 0; c < set.contacts; ++c)
        contacts_[c].along.spread(
            set.slides[c] == 0 ? -contacts_[c].stiffness * (contacts_[c].along.of(z) - situation.anchor_m[c])
                               : -set.slides[c] * friction_limit_N_[c],
            left);
    return left;
}

bool DeckSprings::solve(const Situation& situation, const ActiveSet& set, const NodeMatrix& factor,
                        Nodes& squeeze) const {
    const double small_force = 16.0 * rounding * largest(situation.load_N);
    squeeze = {};
    double moved = 0.0;
    double reach = 0.0;
    for (int pass = 0; pass < most_passes; ++pass) {
        Nodes change = residual(situation, set, squeeze);
        if (largest(change) <= small_force) return true;
        numbers::solve_factored(factor, static_cast<int>(nodes_), change);
        for (std::size_t i = 0; i < nodes_; ++i) squeeze[i] += change[i];
        moved = largest(change);
        reach = std::max(largest(squeeze), highest_m_);
        if (moved <= 4.0 * rounding * reach) return true;
    }
    return moved <= settled_part * reach;
}

}  // namespace cornerbench::mechanics
