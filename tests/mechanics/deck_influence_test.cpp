#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "firmware/mechanics/deck.h"
#include "tests/mechanics/deck_cases.h"

using namespace cornerbench;
using namespace cornerbench::mechanics;
using namespace deck_cases;

TEST_CASE("influence is the slope of the forces", "[deck]") {
    // Central differences of the settled forces; exact inside one set, where the forces are linear in the
    // loads.
    std::mt19937_64 random(41);
    int columns = 0, with_lifted = 0, with_sliding = 0;
    for (int trial = 0; trial < 200; ++trial) {
        const scale::Condition condition = random_deck(random, {});
        const DeckModel model(condition);
        const ContactMemory before = model.slack_when_empty();
        auto loads = random_loads(random, condition);
        ContactMemory memory = before;
        const DeckState state = model.settle(loads, memory);
        if (state.error != DeckError::none) continue;
        const auto influence = model.influence(state);
        with_lifted +=
            std::any_of(state.lifted.begin(), state.lifted.end(), [](bool l) { return l; }) ? 1 : 0;
        with_sliding +=
            std::any_of(state.sliding.begin(), state.sliding.end(), [](bool s) { return s; }) ? 1 : 0;

        loads.push_back({});
        for (int j = 0; j < condition.cell_count; ++j) {
            const double step_N = 1.0;
            const auto settled_with = [&](double force) {
                loads.back() = {support_x_m(condition, j), support_y_m(condition, j), force};
                memory = before;
                return model.settle(loads, memory);
            };
            const DeckState more = settled_with(step_N), less = settled_with(-step_N);
            if (more.lifted != state.lifted || less.lifted != state.lifted || more.sliding != state.sliding ||
                less.sliding != state.sliding || more.error != DeckError::none ||
                less.error != DeckError::none)
                continue;
            ++columns;
            for (std::size_t i = 0; i < static_cast<std::size_t>(condition.cell_count); ++i) {
                const double slope = (more.support_N[i] - less.support_N[i]) / (2.0 * step_N);
                CAPTURE(trial, i, j);
                REQUIRE(influence[i][static_cast<std::size_t>(j)] == Approx(slope).margin(1e-6));
            }
        }
    }
    CHECK(columns > 1500);
    CHECK(with_lifted > 20);
    CHECK(with_sliding > 20);
}

TEST_CASE("influence keeps the balance and is symmetric in flexibility", "[deck]") {
    // Without contacts a newton anywhere adds a newton in all; Betti's reciprocity makes the influence
    // divided by its support's stiffness symmetric.
    std::mt19937_64 random(42);
    int checked = 0;
    for (int trial = 0; trial < 300; ++trial) {
        Limits limits;
        limits.most_contacts = 0;
        const scale::Condition condition = random_deck(random, limits);
        const DeckModel model(condition);
        ContactMemory memory;
        const DeckState state = model.settle(random_loads(random, condition), memory);
        if (state.error != DeckError::none) continue;
        ++checked;
        const auto influence = model.influence(state);
        const auto n = static_cast<std::size_t>(condition.cell_count);
        for (std::size_t j = 0; j < n; ++j) {
            double total = 0.0;
            for (std::size_t i = 0; i < n; ++i) {
                total += influence[i][j];
                if (state.lifted[i]) {
                    REQUIRE(influence[i][j] == 0.0);
                } else if (!state.lifted[j]) {
                    const double there = influence[i][j] / condition.supports[i].stiffness_N_per_m;
                    const double back = influence[j][i] / condition.supports[j].stiffness_N_per_m;
                    REQUIRE(there == Approx(back).epsilon(1e-6).margin(1e-16));
                }
            }
            REQUIRE(total == Approx(1.0).epsilon(1e-6));
        }
    }
    CHECK(checked > 280);
}

TEST_CASE("a state with an error has no influence", "[deck]") {
    DeckState failed;
    failed.error = DeckError::mechanism;
    const DeckModel model(even_deck(2, 6.0, 2.6, 9e7));
    CHECK(model.influence(failed) == DeckModel::Influence{});
}
