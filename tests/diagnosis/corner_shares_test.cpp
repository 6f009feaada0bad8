#include "firmware/diagnosis/corner_shares.h"

#include <catch2/catch.hpp>

#include "tests/diagnosis/corner_rounds.h"

using namespace cornerbench;
using diagnosis::CornerShares;
using diagnosis::PerSupport;

namespace {

/// Four supports of 90 kN/mm, 12 m by 3 m.
diagnosis::CornerScale four_supports(double twist_N_m_per_rad, double deck_kg) {
    diagnosis::CornerScale scale;
    scale.deck.sections = 2;
    scale.deck.section_x_m = {0.0, 12.0};
    scale.deck.width_m = 3.0;
    scale.deck.mass_kg = deck_kg;
    scale.deck.twist_stiffness_N_m_per_rad = twist_N_m_per_rad;
    return scale;
}

CornerShares shares_of(const diagnosis::CornerScale& scale, double mass_kg) {
    PerSupport mass{};
    mass.fill(mass_kg);
    diagnosis::SupportMatrix scratch{};
    CornerShares shares;
    REQUIRE(diagnosis::find_shares(scale, mass, scratch, shares));
    return shares;
}

}  // namespace

TEST_CASE("a deck that twists by itself leaves each load to its own support", "[corner check]") {
    const CornerShares shares = shares_of(four_supports(0.0, 8000.0), 10000.0);
    for (int i = 0; i < 4; ++i) {
        for (int j = 0; j < 4; ++j) CHECK(shares.of(i, j) == Approx(i == j ? 1.0 : 0.0).margin(1e-7));
    }
}

TEST_CASE("a rigid deck shares a corner's load as a rigid plate does", "[corner check]") {
    // Rigid plate on equal springs, R_i = P (1/n + x x_i / sum x^2 + y y_i / sum y^2): three quarters, one
    // quarter on each neighbour, a quarter upwards on the corner across.
    const CornerShares shares = shares_of(four_supports(1.0e14, 80000.0), 10000.0);
    for (int i = 0; i < 4; ++i) {
        CHECK(shares.of(i, i) == Approx(0.75).margin(1e-5));
        CHECK(shares.of(i, (i + 1) % 4) == Approx(0.25).margin(1e-5));
        CHECK(shares.of(i, (i + 3) % 4) == Approx(0.25).margin(1e-5));
        CHECK(shares.of(i, (i + 2) % 4) == Approx(-0.25).margin(1e-5));
    }
}

TEST_CASE("a support that a load would lift loses what it carried and no more", "[corner check]") {
    // 4 t of deck, 1 t on each support; a rigid plate would take 2.5 t off the corner across from 10 t. With
    // that one free, moments about the diagonal leave 10 t on the loaded corner and 2 t on each of the
    // others.
    const CornerShares shares = shares_of(four_supports(1.0e14, 4000.0), 10000.0);
    for (int i = 0; i < 4; ++i) {
        CHECK(shares.of(i, (i + 2) % 4) == Approx(-0.1).margin(1e-6));
        CHECK(shares.of(i, (i + 1) % 4) == Approx(0.1).margin(1e-5));
        CHECK(shares.of(i, (i + 3) % 4) == Approx(0.1).margin(1e-5));
        CHECK(shares.of(i, i) == Approx(0.9).margin(1e-5));
        CHECK(shares.looseness(i, (i + 2) % 4) == 0.0);
    }
}

TEST_CASE("shares agree with the full statics, lifting supports included", "[corner check]") {
    int lifting = 0;
    for (std::uint64_t seed = 0; seed < 300; ++seed) {
        field::RandomSource random(seed);
        const scale::Description d = oracle::random_vehicle_scale(random);
        const int n = d.cell_count();
        const double mass_kg = random.between(0.05, 0.3) * d.max_kg;
        const CornerShares shares =
            shares_of(diagnosis::corner_scale(d, {}, diagnosis::History::calibrated), mass_kg);
        const mechanics::DeckModel model(scale::sound_condition(d));
        mechanics::DeckState empty;
        mechanics::ContactMemory memory = model.slack_when_empty(&empty);
        REQUIRE(empty.error == mechanics::DeckError::none);
        INFO("seed " << seed << ", " << n << " supports");
        for (int i = 0; i < n; ++i) {
            const field::Place at = field::over_support(d.deck, i);
            const std::array load{mechanics::PointLoad{at.x_m, at.y_m, mass_kg * d.gravity}};
            const mechanics::DeckState loaded = model.settle(load, memory);
            REQUIRE(loaded.error == mechanics::DeckError::none);
            double sum = 0.0;
            for (int j = 0; j < n; ++j) {
                const auto at_j = static_cast<unsigned>(j);
                if (loaded.lifted[at_j]) ++lifting;
                const double change_kg = (loaded.support_N[at_j] - empty.support_N[at_j]) / d.gravity;
                CHECK(shares.of(i, j) == Approx(change_kg / mass_kg).margin(2e-6));
                sum += shares.of(i, j);
            }
            CHECK(sum == Approx(1.0).margin(1e-6));
        }
    }
    CHECK(lifting > 100);
}

TEST_CASE("heights make a support loose only where it may come free", "[corner check]") {
    diagnosis::CornerScale scale = four_supports(1.0e7, 40000.0);
    scale.support_height_m = 3.0e-4;
    // One support h too high, on four of stiffness k, puts h / (1/kt' + 4/k) from one diagonal on the other,
    // kt' = kt / W^2 (closed form); four of them, each with its own h, twice that.
    const CornerShares heavy = shares_of(scale, 10000.0);
    const double shift_N = 3.0e-4 / (9.0e-7 + 4.0 / 9.0e7);
    for (int j = 0; j < 4; ++j) {
        CHECK(heavy.preload_kg[static_cast<unsigned>(j)] ==
              Approx(2.0 * shift_N / scale.gravity).epsilon(1e-4));
    }
    for (int i = 0; i < 4; ++i) {
        for (int j = 0; j < 4; ++j) CHECK(heavy.looseness(i, j) == 0.0);
    }
    scale.deck.mass_kg = 400.0;
    const CornerShares light = shares_of(scale, 10000.0);
    for (int i = 0; i < 4; ++i) CHECK(light.looseness(i, (i + 2) % 4) > 0.0);
}

TEST_CASE("a deck without supports has no shares", "[corner check]") {
    diagnosis::CornerScale scale = four_supports(0.0, 8000.0);
    scale.support_stiffness_N_per_m = 0.0;
    diagnosis::SupportMatrix scratch{};
    CornerShares shares;
    CHECK_FALSE(diagnosis::find_shares(scale, {}, scratch, shares));
}
