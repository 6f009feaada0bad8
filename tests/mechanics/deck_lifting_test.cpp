#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>
#include <utility>
#include <vector>

#include "firmware/mechanics/deck.h"
#include "tests/mechanics/deck_cases.h"
#include "tests/mechanics/every_set.h"

using namespace cornerbench;
using namespace cornerbench::mechanics;
using namespace deck_cases;

namespace {

/// Rigid plate on equal springs: R_i = P (1/n + x x_i / sum x^2 + y y_i / sum y^2) from the springs' centre
/// (statics of a bolt group; any text on machine design).
double rigid_plate_N(const scale::Condition& condition, int support, const PointLoad& load) {
    const double x0 = 0.5 * condition.deck.section_x_m[static_cast<std::size_t>(condition.deck.sections - 1)];
    const double y0 = 0.5 * condition.deck.width_m;
    double xx = 0.0, yy = 0.0;
    for (int i = 0; i < condition.cell_count; ++i) {
        xx += (support_x_m(condition, i) - x0) * (support_x_m(condition, i) - x0);
        yy += (support_y_m(condition, i) - y0) * (support_y_m(condition, i) - y0);
    }
    return load.force_N *
           (1.0 / condition.cell_count + (load.x_m - x0) * (support_x_m(condition, support) - x0) / xx +
            (load.y_m - y0) * (support_y_m(condition, support) - y0) / yy);
}

scale::Condition stiff_deck(int sections, double spacing_m, double width_m, double stiffness) {
    scale::Condition condition = even_deck(sections, spacing_m, width_m, 9e7);
    condition.deck.twist_stiffness_N_m_per_rad = stiffness;
    condition.deck.joint_stiffness_N_m_per_rad = stiffness;
    return condition;
}

DeckState settle(const scale::Condition& condition, const PointLoad& load) {
    ContactMemory memory;
    return DeckModel(condition).settle({&load, 1}, memory);
}

}  // namespace

TEST_CASE("a very stiff deck is a rigid plate on springs", "[deck]") {
    // Numbers worked out from the formula above: corners (+-5, +-1.5), 10 000 at (2, 0.5) from the middle.
    const PointLoad load{7.0, 2.0, 10000.0};
    CHECK(rigid_plate_N(stiff_deck(2, 10.0, 3.0, 0.0), 3, load) == Approx(666.667).margin(5e-4));
    // Of 10 000, a 4-support deck on 9e7 N/m is 56 off at 1e9 N m/rad, 0.67 at 1e11, and less tenfold for
    // every ten times; an 8-support deck with (9, 0) loaded 773 and 20.
    for (const double stiffness : {1e12, 1e14, 1e16}) {
        const scale::Condition corners = stiff_deck(2, 10.0, 3.0, stiffness);
        const DeckState four = settle(corners, load);
        const double near_enough = 0.07 * 1e12 / stiffness;
        CHECK(four.support_N[0] == Approx(2333.333333333).margin(near_enough));
        CHECK(four.support_N[1] == Approx(4333.333333333).margin(near_enough));
        CHECK(four.support_N[2] == Approx(2666.666666667).margin(near_enough));
        CHECK(four.support_N[3] == Approx(666.6666666667).margin(near_enough));

        const scale::Condition eight = stiff_deck(4, 6.0, 2.8, stiffness);
        const DeckState middle = settle(eight, {9.0, 1.4, 10000.0});
        for (std::size_t i = 0; i < 8; ++i)
            CHECK(middle.support_N[i] == Approx(1250.0).margin(2.1 * 1e12 / stiffness));
        const PointLoad aside{7.0, 1.9, 10000.0};
        for (int i = 0; i < 8; ++i)
            CHECK(settle(eight, aside).support_N[static_cast<std::size_t>(i)] ==
                  Approx(rigid_plate_N(eight, i, aside)).margin(4.0 * 1e12 / stiffness));
    }
    const DeckState soft = settle(stiff_deck(2, 10.0, 3.0, 1e9), load);
    CHECK(std::abs(soft.support_N[3] - 666.667) == Approx(56.0).margin(0.5));
}

TEST_CASE("supports that would pull lift off", "[deck]") {
    // Eight springs x 0/6/12/18, y +-1.4 from the middle, 10 000 at (0, 0): the plate formula asks two of
    // them to pull 1000. Where supports only push, moments about the first section leave nothing for any
    // other: 5000 each on the first, whatever the stiffness.
    const scale::Condition massless = stiff_deck(4, 6.0, 2.8, 1e13);
    const PointLoad at_end{0.0, 1.4, 10000.0};
    CHECK(rigid_plate_N(massless, 3, at_end) == Approx(-1000.0));
    CHECK(rigid_plate_N(massless, 4, at_end) == Approx(-1000.0));
    for (const double stiffness : {1e6, 1e9, 1e13, 1e16}) {
        const DeckState state = settle(stiff_deck(4, 6.0, 2.8, stiffness), at_end);
        REQUIRE(state.error == DeckError::none);
        CHECK(state.support_N[0] == Approx(5000.0).epsilon(1e-9));
        CHECK(state.support_N[7] == Approx(5000.0).epsilon(1e-9));
        CHECK(state.lifted[3]);
        CHECK(state.lifted[4]);
    }

    // A little inside the end the same two lift, and now the rest depends on the springs: against every set.
    scale::Condition heavy = massless;
    heavy.deck.mass_kg = 100.0;
    for (const scale::Condition& condition : {massless, heavy}) {
        const PointLoad inside{1.5, 1.9, 10000.0};
        const DeckState state = settle(condition, inside);
        const auto reference = every_set::try_every_set(condition, {&inside, 1}, {});
        REQUIRE(reference.consistent_sets == 1);
        REQUIRE(state.error == DeckError::none);
        for (int i = 0; i < 8; ++i)
            CHECK(state.support_N[static_cast<std::size_t>(i)] ==
                  Approx(reference.support_N(i)).margin(1e-9 * 10000.0));
        CHECK(state.lifted[3]);
        CHECK(state.lifted[4]);
    }
}

TEST_CASE("the set found is the only consistent one", "[deck]") {
    // Against a second writing of the physics that tries every set with Eigen's LDLT. Where more than one set
    // passes, a support touches without force and all of them must have the same forces.
    std::mt19937_64 random(21);
    int several = 0, stood = 0, with_lifted = 0, with_sliding = 0;
    for (int trial = 0; trial < 300; ++trial) {
        Limits limits;
        limits.most_sections = trial % 10 == 0 ? 4 : 3;
        limits.most_contacts = trial % 10 == 0 ? 1 : 2;
        limits.height_m = trial % 3 == 0 ? 1e-4 : trial % 3 == 1 ? 3e-3 : 3e-2;
        const scale::Condition condition = random_deck(random, limits);
        const DeckModel model(condition);
        ContactMemory memory = model.slack_when_empty();
        model.settle(random_loads(random, condition), memory);
        const auto loads = random_loads(random, condition);
        const auto reference = every_set::try_every_set(condition, loads, memory);
        const DeckState state = model.settle(loads, memory);

        CAPTURE(trial);
        REQUIRE((state.error == DeckError::none) == (reference.consistent_sets > 0));
        if (state.error != DeckError::none) {
            REQUIRE(state.error == DeckError::mechanism);
            continue;
        }
        ++stood;
        several += reference.consistent_sets > 1 ? 1 : 0;
        const double size = std::max(reference.support_N.maxCoeff(), 1.0);
        REQUIRE(reference.spread_N <= 1e-8 * size);
        bool lifted = false, sliding = false;
        for (int i = 0; i < condition.cell_count; ++i) {
            REQUIRE(std::abs(state.support_N[static_cast<std::size_t>(i)] - reference.support_N(i)) <=
                    1e-8 * size);
            lifted = lifted || state.lifted[static_cast<std::size_t>(i)];
        }
        for (int c = 0; c < condition.contact_count; ++c) {
            REQUIRE(std::abs(state.contact_N[static_cast<std::size_t>(c)] - reference.contact_N(c)) <=
                    1e-8 * size);
            sliding = sliding || state.sliding[static_cast<std::size_t>(c)];
        }
        with_lifted += lifted ? 1 : 0;
        with_sliding += sliding ? 1 : 0;
    }
    CHECK(stood > 280);
    CHECK(several < 15);
    CHECK(with_lifted > 50);
    CHECK(with_sliding > 50);
}

TEST_CASE("a stiff deck rocks on two corners and still weighs", "[deck]") {
    // Common practice, no source: with one footing settled far enough an empty stiff platform stands on one
    // diagonal and rocks. By symmetry each of the two carries half of the dead load.
    scale::Condition condition = even_deck(2, 6.0, 2.6, 9e7);
    condition.deck.mass_kg = 6000.0;
    condition.deck.twist_stiffness_N_m_per_rad = 1.5e7;
    condition.supports[2].height_m = -0.02;
    const DeckModel model(condition);
    DeckState empty;
    ContactMemory memory = model.slack_when_empty(&empty);
    REQUIRE(empty.error == DeckError::none);
    const double half = 3000.0 * condition.gravity;
    CHECK(empty.support_N[1] == Approx(half).epsilon(1e-12));
    CHECK(empty.support_N[3] == Approx(half).epsilon(1e-12));
    CHECK(empty.support_N[0] == Approx(0.0).margin(1e-9));
    CHECK(empty.support_N[2] == Approx(0.0).margin(1e-9));
    CHECK(empty.lifted[0] != empty.lifted[2]);

    // Loaded over either of the others it stands on that one, and statics gives the rest.
    for (const int over : {0, 2}) {
        const PointLoad load{support_x_m(condition, over), support_y_m(condition, over), 500.0};
        const DeckState loaded = model.settle({&load, 1}, memory);
        REQUIRE(loaded.error == DeckError::none);
        CHECK(loaded.support_N[static_cast<std::size_t>(over)] == Approx(500.0).epsilon(1e-9));
        CHECK(loaded.lifted[static_cast<std::size_t>(2 - over)]);
    }
}

TEST_CASE("a tidy deck with its loads inside always stands", "[deck]") {
    // Statics: supports that push up at the corners can balance every load between them. Equal springs,
    // heights in whole steps and loads on the grid give what random numbers never do: exact balance on two
    // supports, touching without force, decks without weight.
    std::mt19937_64 random(22);
    const auto draw = [&](int choices) { return std::uniform_int_distribution<int>(0, choices - 1)(random); };
    const double stiffness[] = {0.0, 1e6, 1.5e7, 1e9, 1e12};
    int touching = 0;
    for (int trial = 0; trial < 20000; ++trial) {
        const int sections = 2 + draw(3);
        scale::Condition condition = even_deck(sections, 6.0, 2.6, 9e7);
        condition.deck.overhang_m = 0.5 * draw(2);
        condition.deck.mass_kg = 3000.0 * draw(4);
        condition.deck.twist_stiffness_N_m_per_rad = stiffness[draw(5)];
        condition.deck.joint_stiffness_N_m_per_rad = stiffness[draw(5)];
        for (scale::SupportCondition& support : condition.supports)
            support.height_m = draw(3) == 0 ? 0.005 * (draw(9) - 4) : 0.0;
        condition.contact_count = draw(3);
        const auto place = [&] {
            const double y = 1.3 * draw(3);
            return std::pair(3.0 * draw(2 * sections - 1), y);
        };
        for (int c = 0; c < condition.contact_count; ++c) {
            const auto [x, y] = place();
            condition.contacts[static_cast<std::size_t>(c)] = {x, y, 1e7, draw(3) == 0 ? 1e9 : 500.0};
        }
        std::vector<PointLoad> loads(static_cast<std::size_t>(draw(3)));
        for (PointLoad& load : loads) {
            const auto [x, y] = place();
            load = {x, y, 5000.0 * (1 + draw(4))};
        }

        const DeckModel model(condition);
        DeckState empty;
        ContactMemory memory = model.slack_when_empty(&empty);
        CAPTURE(trial);
        REQUIRE(empty.error == DeckError::none);
        for (int again = 0; again < 2; ++again) {
            const ContactMemory before = memory;
            const DeckState state = model.settle(loads, memory);
            REQUIRE(state.error == DeckError::none);
            const bool weightless = condition.deck.mass_kg == 0.0 && loads.empty();
            if (!weightless) REQUIRE(imbalance(condition, state, loads) <= 1e-12);
            if (trial % 100 != 0 || sections > 3 || weightless) continue;
            const auto reference = every_set::try_every_set(condition, loads, before);
            REQUIRE(reference.consistent_sets > 0);
            touching += reference.consistent_sets > 1 ? 1 : 0;
            for (int i = 0; i < condition.cell_count; ++i)
                REQUIRE(state.support_N[static_cast<std::size_t>(i)] ==
                        Approx(reference.support_N(i)).epsilon(1e-8).margin(1e-4));
        }
    }
    CHECK(touching > 10);
}

TEST_CASE("a deck that nothing holds is a named error", "[deck]") {
    ContactMemory memory;
    memory.anchor_m[0] = 0.125;
    const auto error_of = [&](const scale::Condition& condition, const PointLoad& load) {
        const DeckState state = DeckModel(condition).settle({&load, 1}, memory);
        CHECK(memory.anchor_m[0] == 0.125);
        if (state.error != DeckError::none)
            CHECK(std::all_of(state.support_N.begin(), state.support_N.end(),
                              [](double force) { return force == 0.0; }));
        return state.error;
    };
    // On an overhang without dead load the deck tips: with hinges the module, without them the whole.
    CHECK(error_of(even_deck(3, 6.0, 2.6, 9e7), {-0.5, 1.3, 1000.0}) == DeckError::mechanism);
    CHECK(error_of(stiff_deck(3, 6.0, 2.6, 1e9), {-0.5, 1.3, 1000.0}) == DeckError::mechanism);
    CHECK(error_of(stiff_deck(3, 6.0, 2.6, 1e9), {3.0, 2.7, 1000.0}) == DeckError::mechanism);
    CHECK(error_of(stiff_deck(3, 6.0, 2.6, 1e9), {3.0, 1.3, -1000.0}) == DeckError::mechanism);
    // A sticking contact at the other end holds it down, up to its limit.
    scale::Condition held = stiff_deck(2, 6.0, 2.6, 1e9);
    held.contact_count = 1;
    held.contacts[0] = {6.0, 1.3, 1e7, 100.0};
    memory.anchor_m[0] = 0.0;
    const PointLoad tipping{-0.5, 1.3, 1000.0};
    ContactMemory held_memory;
    const DeckState held_state = DeckModel(held).settle({&tipping, 1}, held_memory);
    REQUIRE(held_state.error == DeckError::none);
    CHECK(held_state.contact_N[0] == Approx(-1000.0 * 0.5 / 6.0));  // lever rule
    memory.anchor_m[0] = 0.125;

    scale::Condition no_support = even_deck(2, 6.0, 2.6, 9e7);
    no_support.supports[1].stiffness_N_per_m = 0.0;
    CHECK(error_of(no_support, {6.0, 2.6, 1000.0}) == DeckError::mechanism);
    no_support.deck.twist_stiffness_N_m_per_rad = 1e7;
    CHECK(error_of(no_support, {2.0, 1.0, 1000.0}) == DeckError::none);
    CHECK(error_of(even_deck(1, 6.0, 2.6, 9e7), {0.0, 0.0, 1000.0}) == DeckError::mechanism);
    scale::Condition too_many = even_deck(2, 6.0, 2.6, 9e7);
    too_many.deck.sections = scale::max_sections + 1;
    CHECK(error_of(too_many, {0.0, 0.0, 1000.0}) == DeckError::mechanism);
    CHECK(error_of(even_deck(2, 6.0, 2.6, 9e7), {1.0, 1.0, std::numeric_limits<double>::quiet_NaN()}) !=
          DeckError::none);
    CHECK(error_of(even_deck(2, 6.0, 2.6, 9e7), {1.0, 1.0, std::numeric_limits<double>::infinity()}) !=
          DeckError::none);

    scale::Condition not_a_number = even_deck(2, 6.0, 2.6, 9e7);
    not_a_number.supports[1].height_m = std::numeric_limits<double>::quiet_NaN();
    CHECK(error_of(not_a_number, {1.0, 1.0, 1000.0}) != DeckError::none);
    not_a_number.supports[1] = {std::numeric_limits<double>::quiet_NaN(), 0.0, 0.0};
    CHECK(error_of(not_a_number, {1.0, 1.0, 1000.0}) != DeckError::none);
}
