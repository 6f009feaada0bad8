#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <random>
#include <span>
#include <vector>

#include "firmware/mechanics/deck.h"

/// Decks to check the statics on, and what must hold for each.
namespace deck_cases {

using namespace cornerbench;

/// A massless deck with sections every `spacing_m`, equal supports, no twist or joint stiffness.
inline scale::Condition even_deck(int sections, double spacing_m, double width_m, double support_N_per_m) {
    scale::Condition condition;
    condition.deck.sections = sections;
    for (int s = 0; s < sections; ++s)
        condition.deck.section_x_m[static_cast<std::size_t>(s)] = spacing_m * s;
    condition.deck.width_m = width_m;
    condition.cell_count = 2 * sections;
    for (int i = 0; i < condition.cell_count; ++i)
        condition.supports[static_cast<std::size_t>(i)].stiffness_N_per_m = support_N_per_m;
    return condition;
}

inline double support_x_m(const scale::Condition& condition, int support) {
    return condition.deck
        .section_x_m[static_cast<std::size_t>(scale::section_of(support, condition.deck.sections))];
}

inline double support_y_m(const scale::Condition& condition, int support) {
    return scale::is_far(support, condition.deck.sections) ? condition.deck.width_m : 0.0;
}

struct Limits {
    int most_sections = scale::max_sections;
    int most_contacts = scale::max_contacts;
    double height_m = 3e-3;  ///< of the supports, either way
};

inline double uniform(std::mt19937_64& random, double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
}

inline double log_even(std::mt19937_64& random, double low, double high) {
    return low * std::pow(high / low, uniform(random, 0.0, 1.0));
}

/// Zero in one of four draws.
inline double zero_or_log_even(std::mt19937_64& random, double low, double high) {
    return uniform(random, 0.0, 1.0) < 0.25 ? 0.0 : log_even(random, low, high);
}

/// A deck with every number drawn from a range wider than the field's.
inline scale::Condition random_deck(std::mt19937_64& random, const Limits& limits) {
    scale::Condition condition;
    scale::Deck& deck = condition.deck;
    deck.sections = std::uniform_int_distribution<int>(2, limits.most_sections)(random);
    double x = uniform(random, -5.0, 5.0);
    for (int s = 0; s < deck.sections; ++s) {
        deck.section_x_m[static_cast<std::size_t>(s)] = x;
        x += uniform(random, 2.0, 9.0);
    }
    const double last = deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)];
    deck.width_m = uniform(random, 1.5, 4.0);
    deck.overhang_m = uniform(random, 0.0, 1.0);
    deck.mass_kg = uniform(random, 1000.0, 30000.0);
    deck.twist_stiffness_N_m_per_rad = zero_or_log_even(random, 1e5, 1e10);
    deck.joint_stiffness_N_m_per_rad = zero_or_log_even(random, 1e4, 1e10);
    condition.gravity = uniform(random, 9.78, 9.84);
    condition.cell_count = 2 * deck.sections;
    for (int i = 0; i < condition.cell_count; ++i) {
        scale::SupportCondition& support = condition.supports[static_cast<std::size_t>(i)];
        support.stiffness_N_per_m = log_even(random, 1e7, 1e9);
        support.height_m = uniform(random, -limits.height_m, limits.height_m);
        support.bound_share = uniform(random, 0.0, 0.5);
    }
    condition.contact_count = std::uniform_int_distribution<int>(0, limits.most_contacts)(random);
    for (int c = 0; c < condition.contact_count; ++c) {
        scale::Contact& contact = condition.contacts[static_cast<std::size_t>(c)];
        contact.x_m = uniform(random, deck.section_x_m[0] - deck.overhang_m, last + deck.overhang_m);
        contact.y_m = uniform(random, 0.0, deck.width_m);
        contact.stiffness_N_per_m = log_even(random, 1e5, 1e9);
        contact.friction_limit_N = log_even(random, 10.0, 1e5);
    }
    return condition;
}

inline std::vector<mechanics::PointLoad> random_loads(std::mt19937_64& random,
                                                      const scale::Condition& condition) {
    const scale::Deck& deck = condition.deck;
    const double last = deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)];
    std::vector<mechanics::PointLoad> loads(std::uniform_int_distribution<std::size_t>(0, 6)(random));
    for (mechanics::PointLoad& load : loads)
        load = {uniform(random, deck.section_x_m[0] - deck.overhang_m, last + deck.overhang_m),
                uniform(random, -0.2, deck.width_m + 0.2), uniform(random, 0.0, 2e5)};
    return loads;
}

/// Largest relative error of the balance of vertical forces, moments about the y axis and moments about the x
/// axis. The dead load enters as one force at the middle of the deck: the definition of evenly spread.
inline double imbalance(const scale::Condition& condition, const mechanics::DeckState& state,
                        std::span<const mechanics::PointLoad> loads) {
    const scale::Deck& deck = condition.deck;
    const double first = deck.section_x_m[0];
    const double last = deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)];
    double force = 0.0, moment_y = 0.0, moment_x = 0.0, size = 0.0;
    const auto add = [&](double x, double y, double newtons) {
        force += newtons;
        moment_y += newtons * (x - first);
        moment_x += newtons * y;
        size += std::abs(newtons);
    };
    add(0.5 * (first + last), 0.5 * deck.width_m, deck.mass_kg * condition.gravity);
    for (const mechanics::PointLoad& load : loads) add(load.x_m, load.y_m, load.force_N);
    const double scale_N = size;
    for (int i = 0; i < condition.cell_count; ++i)
        add(support_x_m(condition, i), support_y_m(condition, i),
            -state.support_N[static_cast<std::size_t>(i)]);
    for (int c = 0; c < condition.contact_count; ++c) {
        const auto at = static_cast<std::size_t>(c);
        add(condition.contacts[at].x_m, condition.contacts[at].y_m, -state.contact_N[at]);
    }
    const double reference = std::max(scale_N, 1.0);
    return std::max({std::abs(force) / reference, std::abs(moment_y) / (reference * (last - first)),
                     std::abs(moment_x) / (reference * deck.width_m)});
}

}  // namespace deck_cases
