#include "firmware/mechanics/deck.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "tests/mechanics/deck_cases.h"

using namespace cornerbench;
using namespace cornerbench::mechanics;
using namespace deck_cases;

namespace {

double sum(const std::array<double, scale::max_cells>& values) {
    double total = 0.0;
    for (const double value : values) total += value;
    return total;
}

double largest_difference(const std::array<double, scale::max_cells>& a,
                          const std::array<double, scale::max_cells>& b) {
    double difference = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) difference = std::max(difference, std::abs(a[i] - b[i]));
    return difference;
}

}  // namespace

TEST_CASE("a load's shares are bilinear in its module", "[deck]") {
    // Shape functions of the four-node rectangle, (1 +- xi)(1 +- eta)/4: any finite element text.
    const scale::Condition condition = even_deck(3, 6.0, 2.4, 1e8);
    const auto shares = node_shares(condition.deck, 7.5, 0.6);
    // xi = -0.5, eta = -0.5 in the second module: 3/16 and 1/16 far, 9/16 and 3/16 near. Supports 2 and 3 are
    // its far nodes, 4 and 5 its near ones from the right.
    CHECK(shares[0] == 0.0);
    CHECK(shares[1] == Approx(3.0 / 16).epsilon(1e-15));
    CHECK(shares[2] == Approx(1.0 / 16).epsilon(1e-15));
    CHECK(shares[3] == Approx(3.0 / 16).epsilon(1e-15));
    CHECK(shares[4] == Approx(9.0 / 16).epsilon(1e-15));
    CHECK(shares[5] == 0.0);

    // Lever rule on an overhang of L/6: 7/6 on the end section and -1/6 on the next.
    const auto beyond = node_shares(condition.deck, -1.0, 2.4);
    CHECK(beyond[0] == Approx(7.0 / 6).epsilon(1e-15));
    CHECK(beyond[1] == Approx(-1.0 / 6).epsilon(1e-15));
    CHECK(beyond[4] == 0.0);

    // Over a support everything enters there, on an inner section line too.
    for (int i = 0; i < 6; ++i) {
        const auto over = node_shares(condition.deck, support_x_m(condition, i), support_y_m(condition, i));
        CHECK(over[static_cast<std::size_t>(i)] == 1.0);
        CHECK(sum(over) == 1.0);
    }
}

TEST_CASE("without twist and joint stiffness every force is the bilinear share", "[deck]") {
    // Statically determinate: the shares follow from statics alone, whatever the springs and the heights.
    std::mt19937_64 random(11);
    int checked = 0;
    for (int trial = 0; trial < 500; ++trial) {
        scale::Condition condition = random_deck(random, {});
        condition.deck.twist_stiffness_N_m_per_rad = 0.0;
        condition.deck.joint_stiffness_N_m_per_rad = 0.0;
        condition.contact_count = 0;
        const DeckModel model(condition);
        const auto loads = random_loads(random, condition);
        std::array<double, scale::max_cells> expected = model.dead_load_N();
        for (const PointLoad& load : loads) {
            const auto shares = node_shares(condition.deck, load.x_m, load.y_m);
            for (std::size_t i = 0; i < shares.size(); ++i) expected[i] += load.force_N * shares[i];
        }
        if (*std::min_element(expected.begin(), expected.begin() + condition.cell_count) < 0.0) continue;
        ++checked;
        ContactMemory memory;
        const DeckState state = model.settle(loads, memory);
        REQUIRE(state.error == DeckError::none);
        REQUIRE(largest_difference(state.support_N, expected) <= 1e-15 * sum(expected));
    }
    CHECK(checked > 300);
}

TEST_CASE("the dead load is spread evenly, overhangs included", "[deck]") {
    // Hinged modules are beams on two supports. A beam with one overhang a and span L under q per metre: the
    // support at the overhang takes q (L + a)^2 / 2L, the other q (L^2 - a^2) / 2L (handbook formula, from
    // memory; moments about either support give both).
    scale::Condition condition = even_deck(3, 6.0, 2.6, 9e7);
    condition.deck.section_x_m = {1.0, 7.0, 12.0};
    condition.deck.overhang_m = 0.5;
    condition.deck.mass_kg = 9000.0;
    condition.gravity = 9.81;
    const double q = 9000.0 * 9.81 / 12.0;
    const auto outer = [&](double span) { return q * (span + 0.5) * (span + 0.5) / (2.0 * span); };
    const auto inner = [&](double span) { return q * (span * span - 0.25) / (2.0 * span); };
    const DeckModel model(condition);
    const auto& dead = model.dead_load_N();
    CHECK(dead[0] == Approx(outer(6.0) / 2).epsilon(1e-14));
    CHECK(dead[1] == Approx((inner(6.0) + inner(5.0)) / 2).epsilon(1e-14));
    CHECK(dead[2] == Approx(outer(5.0) / 2).epsilon(1e-14));
    for (std::size_t i = 0; i < 3; ++i) CHECK(dead[i] == dead[5 - i]);
    CHECK(sum(dead) == Approx(9000.0 * 9.81).epsilon(1e-14));
}

TEST_CASE("forces and moments balance on random decks", "[deck]") {
    // Newton's first law. Heights are several times what lifts a support off; every deck is loaded four times
    // over, so contacts stick, slide and reverse.
    std::mt19937_64 random(12);
    int settled = 0, with_lifted = 0, with_sliding = 0;
    double worst = 0.0;
    for (int trial = 0; trial < 2000; ++trial) {
        const scale::Condition condition = random_deck(random, {});
        const DeckModel model(condition);
        ContactMemory memory = model.slack_when_empty();
        for (int step = 0; step < 4; ++step) {
            const auto loads = random_loads(random, condition);
            const DeckState state = model.settle(loads, memory);
            CAPTURE(trial, step);
            REQUIRE(state.error != DeckError::not_consistent);
            if (state.error != DeckError::none) continue;
            ++settled;
            worst = std::max(worst, imbalance(condition, state, loads));
            REQUIRE(imbalance(condition, state, loads) <= 1e-12);
            bool lifted = false;
            for (std::size_t i = 0; i < scale::max_cells; ++i) {
                REQUIRE(state.support_N[i] >= 0.0);
                lifted = lifted || state.lifted[i];
            }
            with_lifted += lifted ? 1 : 0;
            bool sliding = false;
            for (const bool slides : state.sliding) sliding = sliding || slides;
            with_sliding += sliding ? 1 : 0;
        }
    }
    CAPTURE(worst);
    CHECK(settled > 7800);
    CHECK(with_lifted > 2000);
    CHECK(with_sliding > 2000);
}

TEST_CASE("an axle on hinged modules loads only the two sections beside it, linearly", "[deck]") {
    // Two wheels across the deck on simple beams: the lever rule.
    scale::Condition condition = even_deck(4, 6.0, 2.6, 9e7);
    const DeckModel model(condition);
    for (double x = 0.0; x <= 18.0; x += 0.75) {
        const std::array<PointLoad, 2> axle{{{x, 0.4, 50000.0}, {x, 2.2, 50000.0}}};
        ContactMemory memory;
        const DeckState state = model.settle(axle, memory);
        for (int section = 0; section < 4; ++section) {
            const double expected = 100000.0 * std::max(0.0, 1.0 - std::abs(x - 6.0 * section) / 6.0);
            const double far = state.support_N[static_cast<std::size_t>(section)];
            const double near = state.support_N[static_cast<std::size_t>(7 - section)];
            CHECK(far + near == Approx(expected).margin(1e-9));
            CHECK(far == Approx(near).margin(1e-9));
        }
    }
}

TEST_CASE("a settled corner shifts load from one diagonal to the other", "[deck]") {
    // Springs in series round the twist pattern: every support of the settled one's diagonal loses
    // h / (1/kt' + 4/k) with kt' = kt / W^2, every other gains it (derived by hand).
    const double k = 9e7, width = 2.6, h = 2e-3;
    for (const double kt : {1e6, 1.5e7, 3e8, 1e12}) {
        scale::Condition condition = even_deck(2, 6.0, width, k);
        condition.deck.mass_kg = 60000.0;
        condition.deck.twist_stiffness_N_m_per_rad = kt;
        const double shift = h / (width * width / kt + 4.0 / k);
        for (std::size_t settled = 0; settled < 4; ++settled) {
            condition.supports[settled].height_m = -h;
            DeckState empty;
            DeckModel(condition).slack_when_empty(&empty);
            condition.supports[settled].height_m = 0.0;
            const double even = 60000.0 * condition.gravity / 4.0;
            for (std::size_t i = 0; i < 4; ++i)
                CHECK(empty.support_N[i] ==
                      Approx(even + ((i + settled) % 2 == 0 ? -shift : shift)).epsilon(1e-12));
        }
    }
}

TEST_CASE("a stiff joint shares a load between three sections", "[deck]") {
    // Worked by hand for one rail: spans L, springs k, P over the middle. With z_e at the ends and z_m
    // between, the slope break is 2 (z_e - z_m) / L, so k z_e = 2 kb (z_m - z_e) / L^2 and 2 k z_e + k z_m =
    // P; with c = kb / (k L^2) each end carries P 2c / (1 + 6c).
    const double k = 9e7, span = 5.0, load = 80000.0;
    for (const double c : {0.001, 0.1, 3.0, 1e6}) {
        scale::Condition condition = even_deck(3, span, 2.6, k);
        condition.deck.joint_stiffness_N_m_per_rad = c * k * span * span;
        const PointLoad middle{span, 2.6, load};
        ContactMemory memory;
        const DeckState state = DeckModel(condition).settle({&middle, 1}, memory);
        const double end = load * 2.0 * c / (1.0 + 6.0 * c);
        CHECK(state.support_N[0] == Approx(end).epsilon(1e-12));
        CHECK(state.support_N[1] == Approx(load - 2.0 * end).epsilon(1e-12));
        CHECK(state.support_N[2] == Approx(end).epsilon(1e-12));
        CHECK(state.support_N[3] + state.support_N[4] + state.support_N[5] <= 1e-12 * load);
    }
}

TEST_CASE("a deck turned half round or seen in a mirror has the same forces", "[deck]") {
    // Symmetry of the problem. Mirroring left to right exchanges the sections; half a turn exchanges support
    // i with i + n/2.
    std::mt19937_64 random(13);
    for (int trial = 0; trial < 200; ++trial) {
        const scale::Condition condition = random_deck(random, {});
        const auto loads = random_loads(random, condition);
        const int sections = condition.deck.sections;
        const auto first = condition.deck.section_x_m[0];
        const auto last = condition.deck.section_x_m[static_cast<std::size_t>(sections - 1)];
        const bool turned = trial % 2 == 0;

        scale::Condition mirrored = condition;
        const auto across = [&](double y) { return turned ? condition.deck.width_m - y : y; };
        for (int s = 0; s < sections; ++s)
            mirrored.deck.section_x_m[static_cast<std::size_t>(s)] =
                first + last - condition.deck.section_x_m[static_cast<std::size_t>(sections - 1 - s)];
        std::array<std::size_t, scale::max_cells> image{};
        for (int i = 0; i < condition.cell_count; ++i) {
            const int section = sections - 1 - scale::section_of(i, sections);
            image[static_cast<std::size_t>(i)] = static_cast<std::size_t>(
                scale::support_at(section, scale::is_far(i, sections) != turned, sections));
            mirrored.supports[image[static_cast<std::size_t>(i)]] =
                condition.supports[static_cast<std::size_t>(i)];
        }
        for (scale::Contact& contact : mirrored.contacts) {
            contact.x_m = first + last - contact.x_m;
            contact.y_m = across(contact.y_m);
        }
        auto mirrored_loads = loads;
        for (PointLoad& load : mirrored_loads) {
            load.x_m = first + last - load.x_m;
            load.y_m = across(load.y_m);
        }

        const DeckModel model(condition), other(mirrored);
        // One memory for both: a deck free to rock when empty may come to rest on either side.
        ContactMemory memory = model.slack_when_empty(), other_memory = memory;
        const DeckState state = model.settle(loads, memory);
        const DeckState other_state = other.settle(mirrored_loads, other_memory);
        CAPTURE(trial);
        REQUIRE(state.error == other_state.error);
        const double size = sum(state.support_N);
        for (std::size_t i = 0; i < static_cast<std::size_t>(condition.cell_count); ++i)
            REQUIRE(std::abs(state.support_N[i] - other_state.support_N[image[i]]) <= 1e-10 * size);
    }
}

TEST_CASE("a bound support passes part of the change, the dead load untouched", "[deck]") {
    scale::Condition condition = even_deck(2, 6.0, 2.6, 9e7);
    condition.deck.mass_kg = 8000.0;
    condition.supports[2].bound_share = 0.25;
    const DeckModel model(condition);
    DeckState empty;
    ContactMemory memory = model.slack_when_empty(&empty);
    CHECK(model.cell_forces(empty, empty) == empty.support_N);

    const PointLoad over_bound{6.0, 0.0, 40000.0};
    const DeckState loaded = model.settle({&over_bound, 1}, memory);
    const auto felt = model.cell_forces(loaded, empty);
    // By hand: a quarter of the 40 000 N goes past the cell, and none of the 2000 kg of dead load.
    CHECK(felt[2] == Approx(2000.0 * condition.gravity + 30000.0).epsilon(1e-14));
    CHECK(felt[0] == loaded.support_N[0]);
}
