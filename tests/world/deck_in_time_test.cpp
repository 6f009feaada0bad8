#include <catch2/catch.hpp>

#include <cmath>
#include <vector>

#include "tests/random_scale.h"
#include "tests/world/yard.h"

using namespace cornerbench;
using namespace cornerbench::tests;

namespace {

world::Supports spread(const scale::Deck& deck, const std::vector<mechanics::PointLoad>& loads) {
    world::Supports node_N{};
    for (const mechanics::PointLoad& load : loads)
        mechanics::weights_at(deck, load.x_m, load.y_m).spread(load.force_N, node_N);
    return node_N;
}

mechanics::PointLoad random_load(Draw& draw, const scale::Description& d) {
    const double first = d.deck.section_x_m[0] - d.deck.overhang_m;
    const double last = d.deck.section_x_m[static_cast<unsigned>(d.deck.sections - 1)] + d.deck.overhang_m;
    return {draw.uniform(first, last), draw.uniform(0.0, d.deck.width_m),
            draw.uniform(0.0, 0.3 * d.max_kg) * d.gravity};
}

}  // namespace

TEST_CASE("the quick way to the support forces is the deck model's own answer", "[world]") {
    // DeckModel::settle, itself held to an exhaustive search over all sets of supports.
    int lifted = 0;
    for (int number = 0; number < 40; ++number) {
        Draw draw(static_cast<std::uint64_t>(number) + 40);
        const scale::Description d = random_description(draw, Adjusting::digital);
        scale::Condition c = random_sample(draw, d);
        if (draw.chance(0.3)) c.supports[1].height_m -= draw.log_uniform(1.0e-4, 1.0e-2);
        const mechanics::DeckModel model(c);
        mechanics::DeckState empty;
        mechanics::ContactMemory memory = model.slack_when_empty(&empty);
        if (empty.error != mechanics::DeckError::none) continue;
        world::DeckInTime deck(c);
        for (int step = 0; step < 50; ++step) {
            std::vector<mechanics::PointLoad> loads;
            for (int i = draw.integer(0, 4); i > 0; --i) loads.push_back(random_load(draw, d));
            deck.carry(spread(d.deck, loads));
            const mechanics::DeckState state = model.settle(loads, memory);
            REQUIRE(deck.error() == state.error);
            if (state.error != mechanics::DeckError::none) continue;
            const double scale_N = d.max_kg * d.gravity;
            for (unsigned i = 0; i < static_cast<unsigned>(c.cell_count); ++i) {
                if (state.lifted[i]) ++lifted;
                INFO("scale " << number << " step " << step << " support " << i);
                REQUIRE(std::fabs(deck.support_N()[i] - state.support_N[i]) < 1.0e-9 * scale_N);
            }
        }
    }
    CHECK(lifted > 50);
}

TEST_CASE("a contact keeps its memory from sample to sample", "[world]") {
    scale::Description d = oracle::plain_scale(8);
    scale::Condition c = scale::sound_condition(d);
    c.contact_count = 1;
    c.contacts[0] = {6.0, 0.0, 5.0e7, 3000.0};
    world::DeckInTime deck(c);
    weighing::StillScale still_one(d, c);
    Draw draw(5);
    for (int step = 0; step < 300; ++step) {
        const std::vector<mechanics::PointLoad> loads{{6.0, 0.5, draw.uniform(0.0, 2.0e5)}};
        deck.carry(spread(d.deck, loads));
        still_one.change(loads);
        for (unsigned i = 0; i < 8; ++i)
            REQUIRE(deck.support_N()[i] == Approx(still_one.deck().support_N[i]).margin(1.0e-4));
    }
}

TEST_CASE("a contact that comes under a load begins without force, and goes without a trace", "[world]") {
    scale::Description d = oracle::plain_scale(8);
    const scale::Condition sound = scale::sound_condition(d);
    world::DeckInTime deck(sound);
    const world::Supports load = spread(d.deck, {{6.0, 1.0, 1.0e5}});
    const world::Supports more = spread(d.deck, {{6.0, 1.0, 1.5e5}});
    deck.carry(load);
    const world::Supports free = deck.support_N();
    scale::Condition touched = sound;
    touched.contact_count = 1;
    touched.contacts[0] = {6.0, 0.0, 5.0e7, 1.0e9};
    const int fresh = -1;
    deck.change(touched, std::span(&fresh, 1));
    for (unsigned i = 0; i < 8; ++i) CHECK(deck.support_N()[i] == Approx(free[i]).margin(1.0e-6));
    deck.carry(more);
    double sum = 0.0;
    for (const double force : deck.support_N()) sum += force;
    const double dead_N = d.deck.mass_kg * d.gravity;
    CHECK(sum < dead_N + 1.5e5 - 1000.0);
    CHECK(sum > dead_N + 1.0e5);
    // The same contact, kept: nothing moves. Another fault elsewhere must not let it go.
    const int same = 0;
    const world::Supports held = deck.support_N();
    deck.change(touched, std::span(&same, 1));
    for (unsigned i = 0; i < 8; ++i) CHECK(deck.support_N()[i] == Approx(held[i]).margin(1.0e-6));
    deck.change(sound, {});
    deck.carry(load);
    for (unsigned i = 0; i < 8; ++i) CHECK(deck.support_N()[i] == Approx(free[i]).margin(1.0e-6));
}

TEST_CASE("a support that binds passes by a share of what comes from then on", "[world]") {
    scale::Description d = oracle::plain_scale(8);
    d.deck.twist_stiffness_N_m_per_rad = 0.0;
    const scale::Condition sound = scale::sound_condition(d);
    world::DeckInTime deck(sound);
    deck.carry(spread(d.deck, {{6.0, 0.0, 4.0e4}}));
    const unsigned near_second = 6;  // supports 8, 7, 6, 5 along the near row from the left
    const double before = deck.cell_N()[near_second];
    scale::Condition bound = sound;
    bound.supports[near_second].bound_share = 0.25;
    deck.change(bound, {});
    CHECK(deck.cell_N()[near_second] == Approx(before));
    deck.carry(spread(d.deck, {{6.0, 0.0, 1.0e5}}));
    CHECK(deck.cell_N()[near_second] - before == Approx(0.75 * 6.0e4));
    CHECK(deck.support_N()[near_second] - before == Approx(6.0e4));
    deck.change(sound, {});
    CHECK(deck.cell_N()[near_second] == deck.support_N()[near_second]);
}
