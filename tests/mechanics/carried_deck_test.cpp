#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "firmware/mechanics/carried_deck.h"
#include "tests/mechanics/deck_cases.h"

using namespace cornerbench;
using namespace cornerbench::mechanics;
using namespace deck_cases;

namespace {

double farthest(const Nodes& a, const Nodes& b) {
    double off = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) off = std::max(off, std::fabs(a[i] - b[i]));
    return off;
}

double farthest(const DeckModel::Influence& a, const DeckModel::Influence& b) {
    double off = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) off = std::max(off, farthest(a[i], b[i]));
    return off;
}

Nodes entering(const scale::Condition& condition, const std::vector<PointLoad>& loads) {
    Nodes at_nodes{};
    for (const PointLoad& load : loads)
        weights_at(condition.deck, load.x_m, load.y_m).spread(load.force_N, at_nodes);
    return at_nodes;
}

}  // namespace

TEST_CASE("A deck that no load lifts stands by superposition as the search finds it",
          "[deck][contact][property]") {
    std::mt19937_64 random(20260811);
    int carried_states = 0;
    int sliding_states = 0;
    int lifting_decks = 0;
    for (int draw = 0; draw < 600; ++draw) {
        scale::Condition condition = random_deck(random, {scale::max_sections, 0, 1e-4});
        condition.contact_count = 1;
        scale::Contact& contact = condition.contacts[0];
        contact.x_m = uniform(random, condition.deck.section_x_m[0], condition.deck.section_x_m[1]);
        contact.y_m = uniform(random, 0.0, condition.deck.width_m);
        contact.stiffness_N_per_m = log_even(random, 1e5, 1e9);
        contact.friction_limit_N = log_even(random, 10.0, 1e5);
        CAPTURE(draw);

        const CarriedDeck carried(condition);
        const DeckModel model(condition);
        DeckState empty;
        ContactMemory searched = model.slack_when_empty(&empty);
        const bool lifts = std::count(empty.lifted.begin(), empty.lifted.end(), true) > 0;
        REQUIRE(carried.holds() == (empty.error == DeckError::none && !lifts));
        if (!carried.holds()) continue;
        const TouchedDeck touched(carried, condition.deck, contact);
        ContactMemory memory = touched.slack_when_empty();
        CHECK(memory.anchor_m[0] == searched.anchor_m[0]);

        for (int step = 0; step < 12; ++step) {
            CAPTURE(step);
            const std::vector<PointLoad> loads = random_loads(random, condition);
            const DeckState expected = model.settle(loads, searched);
            DeckState state;
            if (!touched.settle(carried.pressed_m(entering(condition, loads)), 1.0, memory, state)) {
                const double most = largest(expected.support_N);
                const auto end = expected.support_N.begin() + condition.cell_count;
                CHECK(*std::min_element(expected.support_N.begin(), end) <= 1e-8 * most);
                ++lifting_decks;
                break;
            }
            const double size = largest(expected.support_N);
            CHECK(farthest(state.support_N, expected.support_N) <= 1e-9 * size);
            CHECK(std::fabs(state.contact_N[0] - expected.contact_N[0]) <= 1e-9 * size);
            CHECK(std::fabs(memory.anchor_m[0] - searched.anchor_m[0]) <=
                  1e-9 * largest(expected.displacement_m));
            CHECK(state.sliding[0] == expected.sliding[0]);
            CHECK(farthest(touched.influence(state.sliding[0]), model.influence(expected)) <= 1e-9);
            ++carried_states;
            sliding_states += state.sliding[0] ? 1 : 0;

            // The same load again moves nothing, and does not slide.
            DeckState again;
            REQUIRE(touched.settle(carried.pressed_m(entering(condition, loads)), 1.0, memory, again));
            CHECK_FALSE(again.sliding[0]);
            CHECK(farthest(again.support_N, state.support_N) <= 1e-11 * size);
        }
    }
    CHECK(carried_states > 1000);
    CHECK(sliding_states > 200);
    CHECK(carried_states - sliding_states > 200);
    CHECK(lifting_decks > 50);
}
