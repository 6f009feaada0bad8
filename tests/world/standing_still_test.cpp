#include <catch2/catch.hpp>

#include <cmath>

#include "sim/field/places.h"
#include "tests/random_scale.h"
#include "tests/world/yard.h"

using namespace cornerbench;
using namespace cornerbench::tests;

namespace {

/// The same loads in the world and on a scale that knows no time.
double divisions_off(const scale::Description& d, const scale::Condition& c,
                     const std::vector<world::Weight>& weights) {
    world::World yard(d, c, 1, still(d));
    weighing::StillScale scale(d, c);
    std::vector<mechanics::PointLoad> loads;
    for (const world::Weight& w : weights) {
        yard.put(w);
        pass(yard, 2.0);
        loads.push_back({w.x_m, w.y_m, w.mass_kg * c.gravity});
        scale.change(loads);
    }
    if (scale.error() != mechanics::DeckError::none) return 0.0;
    const double one = d.division_kg / d.cells[0].capacity_kg * d.cells[0].rated_output_V_per_V;
    if (d.converter == scale::Converter::summed) {
        const double off = yard.truth().output.ratio - scale.read({0.0, 1.0}).ratio;
        return std::fabs(off) / (one / d.cell_count());
    }
    double most = 0.0;
    const circuit::BoxOutput out = scale.box().output(scale.ratios());
    for (int i = 0; i < d.cell_count(); ++i) {
        const auto at = static_cast<unsigned>(i);
        most = std::max(most, std::fabs(yard.truth().output.channel[at] - out.channel[at]) / one);
    }
    return most;
}

}  // namespace

TEST_CASE("a world that stands still is the still scale", "[world]") {
    // StillScale settles every load and solves every circuit exactly, and is itself held to ngspice and
    // Eigen.
    for (int number = 0; number < 60; ++number) {
        INFO("scale " << number);
        Draw draw(static_cast<std::uint64_t>(number) + 700);
        scale::Description d = random_description(draw, static_cast<Adjusting>(number % adjusting_count));
        turn_trims_at_random(draw, 0.1, 0.9, d);
        const scale::Condition c = random_sample(draw, d);
        std::vector<world::Weight> weights;
        for (int w = 0; w < 4; ++w) {
            const double first = d.deck.section_x_m[0];
            const double last = d.deck.section_x_m[static_cast<unsigned>(d.deck.sections - 1)];
            weights.push_back({corner_test_mass_kg(d) * draw.uniform(0.1, 1.0), draw.uniform(first, last),
                               draw.uniform(0.0, d.deck.width_m), draw.chance(0.5) ? 0.0 : 1.0});
        }
        CHECK(divisions_off(d, c, weights) < 1.0e-3);
    }
}

TEST_CASE("a weight between supports reads by its bilinear shares on a deck of hinged plates", "[world]") {
    // With kt = kb = 0 every force is the load's bilinear share: closed form.
    scale::Description d = oracle::plain_scale(8);
    d.deck.twist_stiffness_N_m_per_rad = 0.0;
    world::World yard(d, scale::sound_condition(d), 3, still(d));
    const world::Supports empty = yard.truth().support_N;
    yard.put({10000.0, 7.5, 0.65, 0.5});
    pass(yard, 1.0);
    const world::Supports loaded = yard.truth().support_N;
    const double force_N = 10000.0 * d.gravity;
    // Module between x = 6 and 12 m: a quarter of the way along, a quarter of the way across from the near
    // row.
    const double expected[8] = {0.0, 0.75 * 0.25, 0.25 * 0.25, 0.0, 0.0, 0.25 * 0.75, 0.75 * 0.75, 0.0};
    for (unsigned i = 0; i < 8; ++i)
        CHECK(loaded[i] - empty[i] == Approx(expected[i] * force_N).margin(1.0e-6 * force_N));
}

TEST_CASE("a vehicle that has stopped weighs its axles, wherever it came from", "[world]") {
    const scale::Description d = oracle::trimmed_scale(8);
    const weighing::ZeroAndSpan set = weighing::sound_calibration(d);
    for (const world::End from : {world::End::left, world::End::right}) {
        world::World yard(d, scale::sound_condition(d), 3, still(d));
        const double stop = from == world::End::left ? 12.0 : 6.0;
        const int truck = yard.drive_on(tipper(), rolling_to(stop, from));
        pass(yard, 30.0);
        REQUIRE(yard.vehicle(truck)->stands());
        CHECK(yard.vehicle(truck)->front_x_m() == Approx(stop).margin(1.0e-9));
        CHECK(yard.truth().mass_on_deck_kg == Approx(25600.0));
        std::vector<mechanics::PointLoad> loads;
        const double facing = from == world::End::left ? 1.0 : -1.0;
        for (const files::Axle& axle : tipper().axles)
            loads.push_back({stop - facing * axle.behind_front_m, 1.3, axle.mass_kg * d.gravity});
        weighing::StillScale scale(d, scale::sound_condition(d));
        scale.put(loads);
        CHECK(weight_kg(yard, set) == Approx(scale.read(set).weight_kg).margin(1.0e-3 * d.division_kg));

        CHECK(yard.drive_off(truck));
        pass(yard, 40.0);
        CHECK(yard.vehicle(truck) == nullptr);
        CHECK(yard.empty());
        CHECK_FALSE(yard.drive_off(truck));
        CHECK(yard.truth().mass_on_deck_kg == 0.0);
        CHECK(std::fabs(weight_kg(yard, set)) < 1.0e-3 * d.division_kg);
    }
}

TEST_CASE("an axle beyond the deck's end carries nothing on it", "[world]") {
    const scale::Description d = oracle::plain_scale(8);  // deck from -0.4 m to 18.4 m
    world::World yard(d, scale::sound_condition(d), 3, still(d));
    const int truck = yard.drive_on(tipper(), rolling_to(4.0));
    double before = 0.0;
    bool first = false;
    bool second = false;
    while (!yard.vehicle(truck)->stands()) {
        yard.step();
        const double front = yard.vehicle(truck)->front_x_m();
        const double mass = (front >= -0.4 ? 7200.0 : 0.0) + (front >= 3.5 ? 9300.0 : 0.0);
        CHECK(yard.truth().pressed_kg == Approx(mass).margin(1.0e-6));
        first = first || mass == 7200.0;
        second = second || mass == 16500.0;
        CHECK(mass >= before);
        before = mass;
    }
    CHECK(first);
    CHECK(second);
}

TEST_CASE("a per-cell box has one channel per cell, and its codes are the ratios", "[world]") {
    scale::Description d = oracle::per_cell_scale(6);
    world::World yard(d, scale::sound_condition(d), 4, still(d));
    REQUIRE(yard.traits().channels == 6);
    yard.put({8000.0, 3.0, 1.0, 0.0});
    const hal::Frame frame = yard.step();
    CHECK(hal::check_of(frame, 6) == frame.check);
    const double half_code = 0.5 * d.full_scale_V_per_V / 8388608.0;
    for (int i = 0; i < 6; ++i)
        CHECK(std::fabs(ratio_of(frame, yard.traits(), i) -
                        yard.truth().output.channel[static_cast<unsigned>(i)]) <= 1.0001 * half_code);
}
