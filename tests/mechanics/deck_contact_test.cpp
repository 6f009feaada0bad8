#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

#include "firmware/mechanics/deck.h"
#include "tests/mechanics/deck_cases.h"

using namespace cornerbench;
using namespace cornerbench::mechanics;
using namespace deck_cases;

namespace {

double total_N(const DeckState& state) {
    double total = 0.0;
    for (const double force : state.support_N) total += force;
    return total;
}

}  // namespace

TEST_CASE("stick and slip over one support, worked by hand", "[deck][contact]") {
    // A hinged massless deck, k = 1e8 N/m, a contact over support 1 with 2.5e7 N/m and a limit of 2500 N;
    // load P there, a the contact's slack point, z the displacement, q = 2.5e7 (z - a) its force. Sticking,
    // z = (P + 2.5e7 a) / 1.25e8; sliding, z = (P - +2500) / 1e8 and a = z - +1e-4.
    //   P       trial z   trial q   state    z         q       cell     a
    //   5 000   4.0e-5     1 000    sticks   4.0e-5    1 000    4 000   0
    //   20 000  1.6e-4     4 000    slides   1.75e-4   2 500   17 500   7.5e-5
    //   15 000  1.35e-4    1 500    sticks   1.35e-4   1 500   13 500   7.5e-5      (12 500 when increasing)
    //   0       1.5e-5    -1 500    sticks   1.5e-5   -1 500    1 500   7.5e-5      residue at zero
    //   40 000  3.35e-4    6 500    slides   3.75e-4   2 500   37 500   2.75e-4
    //   0       5.5e-5    -5 500    slides   2.5e-5   -2 500    2 500   1.25e-4     the residue is the limit
    //   12 500  1.25e-4        0    sticks   1.25e-4       0   12 500   1.25e-4
    scale::Condition condition = even_deck(2, 6.0, 2.6, 1e8);
    condition.contact_count = 1;
    condition.contacts[0] = {0.0, 2.6, 2.5e7, 2500.0};
    const DeckModel model(condition);
    ContactMemory memory = model.slack_when_empty();
    CHECK(memory.anchor_m[0] == 0.0);

    struct Row {
        double load, z, contact, cell, anchor;
        bool slides;
    };
    const Row rows[] = {
        {5000, 4.0e-5, 1000, 4000, 0.0, false},       {20000, 1.75e-4, 2500, 17500, 7.5e-5, true},
        {15000, 1.35e-4, 1500, 13500, 7.5e-5, false}, {0, 1.5e-5, -1500, 1500, 7.5e-5, false},
        {40000, 3.75e-4, 2500, 37500, 2.75e-4, true}, {0, 2.5e-5, -2500, 2500, 1.25e-4, true},
        {12500, 1.25e-4, 0, 12500, 1.25e-4, false}};
    for (const Row& row : rows) {
        const PointLoad load{0.0, 2.6, row.load};
        const DeckState state = model.settle({&load, 1}, memory);
        CAPTURE(row.load, row.z);
        CHECK(state.error == DeckError::none);
        CHECK(state.displacement_m[0] == Approx(row.z).epsilon(1e-12));
        CHECK(state.contact_N[0] == Approx(row.contact).epsilon(1e-12).margin(1e-9));
        CHECK(state.support_N[0] == Approx(row.cell).epsilon(1e-12));
        CHECK(memory.anchor_m[0] == Approx(row.anchor).epsilon(1e-12).margin(1e-18));
        CHECK(state.sliding[0] == row.slides);
    }
    const PointLoad increasing{0.0, 2.6, 15000.0};
    ContactMemory fresh;
    CHECK(model.settle({&increasing, 1}, fresh).support_N[0] == Approx(12500.0).epsilon(1e-12));
}

TEST_CASE("settling twice under one load changes nothing", "[deck][contact]") {
    // A contact left exactly at its limit must not creep. Coulomb: no slip without a change of load.
    std::mt19937_64 random(31);
    int slid = 0;
    for (int trial = 0; trial < 300; ++trial) {
        const scale::Condition condition = random_deck(random, {});
        const DeckModel model(condition);
        ContactMemory memory = model.slack_when_empty();
        const auto loads = random_loads(random, condition);
        const DeckState once = model.settle(loads, memory);
        if (once.error != DeckError::none) continue;
        slid += std::any_of(once.sliding.begin(), once.sliding.end(), [](bool s) { return s; }) ? 1 : 0;
        const double size = std::max(total_N(once), 1.0);
        for (int again = 0; again < 3; ++again) {
            const DeckState twice = model.settle(loads, memory);
            REQUIRE(twice.error == DeckError::none);
            for (std::size_t i = 0; i < scale::max_cells; ++i)
                REQUIRE(std::abs(twice.support_N[i] - once.support_N[i]) <= 1e-10 * size);
        }
    }
    CHECK(slid > 100);
}

TEST_CASE("sliding never gives work back", "[deck][contact]") {
    // Second law of thermodynamics: force times slip is at least zero, and the force stays within its limit.
    std::mt19937_64 random(32);
    int slips = 0;
    for (int trial = 0; trial < 300; ++trial) {
        const scale::Condition condition = random_deck(random, {});
        const DeckModel model(condition);
        ContactMemory memory = model.slack_when_empty();
        for (int step = 0; step < 6; ++step) {
            const ContactMemory before = memory;
            const DeckState state = model.settle(random_loads(random, condition), memory);
            for (int c = 0; c < condition.contact_count; ++c) {
                const auto at = static_cast<std::size_t>(c);
                const double slip = memory.anchor_m[at] - before.anchor_m[at];
                const double limit = condition.contacts[at].friction_limit_N;
                REQUIRE(state.contact_N[at] * slip >= -1e-16 * limit);  // a slip of rounding, in metres
                REQUIRE(std::abs(state.contact_N[at]) <= limit);
                if (!state.sliding[at]) REQUIRE(slip == 0.0);
                slips += std::abs(slip) > 1e-9 ? 1 : 0;
            }
        }
    }
    CHECK(slips > 500);
}

TEST_CASE("an empty scale begins with its contacts slack", "[deck][contact]") {
    std::mt19937_64 random(33);
    for (int trial = 0; trial < 200; ++trial) {
        const scale::Condition condition = random_deck(random, {});
        scale::Condition untouched = condition;
        untouched.contact_count = 0;
        const DeckModel model(condition);
        DeckState empty, reference;
        ContactMemory memory = model.slack_when_empty(&empty);
        DeckModel(untouched).slack_when_empty(&reference);
        REQUIRE(empty.error == DeckError::none);
        REQUIRE(empty.support_N == reference.support_N);

        const DeckState settled = model.settle({}, memory);
        const double weight = condition.deck.mass_kg * condition.gravity;
        for (std::size_t i = 0; i < scale::max_cells; ++i)
            REQUIRE(std::abs(settled.support_N[i] - empty.support_N[i]) <= 1e-9 * weight);
        for (const double force : settled.contact_N) REQUIRE(std::abs(force) <= 1e-9 * weight);
    }
}

TEST_CASE("whatever touches the deck takes load from the cells near it", "[deck][contact]") {
    // Common practice, no source: any contact other than through the cells makes the scale read low when it
    // is loaded there. Places: over a support, at the middle of a long side, at the middle of an end.
    scale::Condition sound = even_deck(4, 6.0, 2.6, 9e7);
    sound.deck.mass_kg = 14200.0;
    sound.deck.overhang_m = 0.4;
    sound.deck.twist_stiffness_N_m_per_rad = 1.5e7;
    struct Place {
        double x, y;
        int nearest;
    };
    for (const double joint : {0.0, 1e7})
        for (const Place place : {Place{6.0, 2.6, 1}, Place{18.0, 0.0, 4}, Place{9.0, 0.0, 5},
                                  Place{9.0, 2.6, 2}, Place{0.0, 1.3, 7}})
            for (const double limit : {500.0, 1e9}) {
                sound.deck.joint_stiffness_N_m_per_rad = joint;
                scale::Condition touched = sound;
                touched.contact_count = 1;
                touched.contacts[0] = {place.x, place.y, 2e7, limit};
                const PointLoad load{place.x, place.y, 100000.0};
                const auto at = static_cast<std::size_t>(place.nearest);
                const DeckModel model(touched);
                ContactMemory memory = model.slack_when_empty(), none;
                const DeckState reads = model.settle({&load, 1}, memory);
                const DeckState should = DeckModel(sound).settle({&load, 1}, none);
                CAPTURE(place.x, place.y, limit, joint);
                CHECK(total_N(reads) < total_N(should) - 400.0);
                CHECK(total_N(reads) == Approx(total_N(should) - reads.contact_N[0]).epsilon(1e-12));
                CHECK(reads.support_N[at] < should.support_N[at] - 100.0);
            }
}

TEST_CASE("a contact with no stiffness, no limit or an endless one", "[deck][contact]") {
    scale::Condition condition = even_deck(2, 6.0, 2.6, 1e8);
    condition.contact_count = 3;
    condition.contacts[0] = {0.0, 2.6, 0.0, 1000.0};
    condition.contacts[1] = {6.0, 2.6, 1e8, 0.0};
    condition.contacts[2] = {6.0, 0.0, 1e8, std::numeric_limits<double>::infinity()};
    const DeckModel model(condition);
    ContactMemory memory = model.slack_when_empty();
    for (const int over : {0, 1, 2}) {
        const PointLoad load{support_x_m(condition, over), support_y_m(condition, over), 30000.0};
        const DeckState state = model.settle({&load, 1}, memory);
        REQUIRE(state.error == DeckError::none);
        // By hand: only the last one holds, as a spring equal to the support beside it.
        CHECK(state.support_N[static_cast<std::size_t>(over)] ==
              Approx(over == 2 ? 15000.0 : 30000.0).epsilon(1e-13));
        CHECK_FALSE(state.sliding[static_cast<std::size_t>(over)]);
    }
    CHECK(memory.anchor_m == ContactMemory{}.anchor_m);
}
