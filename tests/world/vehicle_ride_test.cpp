#include <catch2/catch.hpp>

#include <cmath>
#include <vector>

#include "tests/world/yard.h"

using namespace cornerbench;
using namespace cornerbench::tests;

namespace {

constexpr double pi = 3.14159265358979323846;
constexpr double step_s = 0.01;

double total_N(const world::VehicleRide& ride) {
    double sum = 0.0;
    for (const world::AxleForce& axle : ride.on_deck()) sum += axle.force_N;
    return sum;
}

/// A scale so long that a vehicle can drive on it for minutes.
scale::Description endless_deck() {
    scale::Description d = oracle::plain_scale(8);
    for (unsigned s = 0; s < 4; ++s) d.deck.section_x_m[s] = 200.0 * s;
    return d;
}

}  // namespace

TEST_CASE("a kicked mass on a spring swings and dies away as the closed form says", "[world]") {
    // y = v0 / wd e^(-zeta w t) sin(wd t), wd = w sqrt(1 - zeta^2): any textbook of vibration.
    for (const double frequency : {1.5, 2.5, 4.0}) {
        for (const double damping : {0.0, 0.05, 0.3}) {
            world::Oscillator mass(frequency, damping, step_s);
            mass.kick(0.2);
            const double w = 2.0 * pi * frequency;
            const double wd = w * std::sqrt(1.0 - damping * damping);
            double energy = mass.energy();
            for (int n = 1; n <= 1000; ++n) {
                mass.step();
                const double t = n * step_s;
                const double decay = 0.2 * std::exp(-damping * w * t);
                REQUIRE(mass.from_rest() == Approx(decay / wd * std::sin(wd * t)).margin(1.0e-12));
                // A spring and a drag only ever take energy away; without drag none.
                REQUIRE(mass.energy() <= energy * (1.0 + 1.0e-12));
                if (damping == 0.0) REQUIRE(mass.energy() == Approx(energy).epsilon(1.0e-11));
                energy = mass.energy();
            }
        }
    }
}

TEST_CASE("after it has stopped, a vehicle bounces at its own frequency and comes to rest at its weight",
          "[world]") {
    const scale::Description d = oracle::plain_scale(8);
    for (const double frequency : {1.5, 2.0, 4.0}) {
        world::Approach approach;
        approach.stop_front_at_m = 12.0;
        approach.suspension.bounce_Hz = frequency;
        approach.suspension.pitch_Hz = 0.0;
        world::VehicleRide ride(tipper(), approach, d, 0.0, step_s, 5, 1);
        double t = 0.0;
        while (!ride.stands()) ride.step(t += step_s);
        const double weight_N = 25600.0 * d.gravity;
        const double energy = ride.bounce().energy();
        // Upward crossings of the weight, to a hundredth of a sample.
        std::vector<double> crossed_s;
        double before = total_N(ride) - weight_N;
        for (int n = 0; n < 200; ++n) {
            ride.step(t += step_s);
            const double now = total_N(ride) - weight_N;
            if (before < 0.0 && now >= 0.0) crossed_s.push_back(t - step_s * now / (now - before));
            before = now;
        }
        REQUIRE(crossed_s.size() >= 2);
        const double periods = static_cast<double>(crossed_s.size() - 1);
        const double damping = approach.suspension.bounce_damping;
        CHECK(periods / (crossed_s.back() - crossed_s.front()) ==
              Approx(frequency * std::sqrt(1.0 - damping * damping)).epsilon(0.01));
        // Over 2 s, whole periods at these frequencies but for the damped frequency's 1 %.
        CHECK(ride.bounce().energy() / energy ==
              Approx(std::exp(-4.0 * damping * 2.0 * pi * frequency)).epsilon(0.35));
        for (int n = 0; n < 3000; ++n) ride.step(t += step_s);
        CHECK(ride.quiet());
        CHECK(total_N(ride) == Approx(weight_N).epsilon(1.0e-14));
    }
}

TEST_CASE("a vehicle swings at its stop as its file says, after the closed form", "[world]") {
    // Released at rest, a damped swing goes through y = y0 e^(-zeta w t) (cos wd t + zeta w / wd sin wd t),
    // whose second derivative is -w^2 y0 e^(-zeta w t) (cos wd t - zeta w / wd sin wd t): any textbook of
    // vibration.
    const scale::Description d = oracle::plain_scale(8);
    for (const double frequency : {1.5, 2.7, 4.0}) {
        for (const double damping : {0.01, 0.12, 0.7}) {
            for (const double share : {0.0, 0.02, 0.3}) {
                INFO(frequency << " Hz, damping " << damping << ", share " << share);
                files::Vehicle truck = tipper();
                truck.bounce_Hz = frequency;
                truck.bounce_damping = damping;
                truck.bounce_share = share;
                world::Approach approach;
                approach.stop_front_at_m = 12.0;
                world::VehicleRide ride(truck, approach, d, 0.0, step_s, 5, 1);
                double t = 0.0;
                while (!ride.stands()) ride.step(t += step_s);
                const double w = 2.0 * pi * frequency;
                const double wd = w * std::sqrt(1.0 - damping * damping);
                for (int n = 0; n < 300; ++n, ride.step(t += step_s)) {
                    const double swung_s = n * step_s;
                    const double swing = share * std::exp(-damping * w * swung_s) *
                                         (std::cos(wd * swung_s) - damping * w / wd * std::sin(wd * swung_s));
                    // All axles are on the deck: pitching takes nothing from the sum.
                    REQUIRE(total_N(ride) / (25600.0 * d.gravity) - 1.0 == Approx(swing).margin(2.0e-8));
                }
            }
        }
    }
}

TEST_CASE("a vehicle brakes as its file says", "[world]") {
    // 12.4 m of way from a metre in front of the deck: cruise, then v / a, over v^2 / 2a.
    const scale::Description d = oracle::plain_scale(8);
    for (const double braking : {0.2, 0.8, 3.0}) {
        files::Vehicle truck = tipper();
        truck.braking_m_per_s2 = braking;
        world::Approach approach;
        approach.speed_m_per_s = 1.5;
        approach.stop_front_at_m = 11.0;
        world::VehicleRide ride(truck, approach, d, 0.0, step_s, 5, 1);
        double t = 0.0;
        while (!ride.stands()) ride.step(t += step_s);
        const double way_m = 11.0 + d.deck.overhang_m + 1.0;
        const double due_s = (way_m - 0.5 * 1.5 * 1.5 / braking) / 1.5 + 1.5 / braking;
        CHECK(t == Approx(due_s).margin(1.001 * step_s));
        CHECK(ride.front_x_m() == Approx(11.0));
    }
}

TEST_CASE("over time the axles press with the vehicle's weight", "[world]") {
    // Momentum: the mean force is the weight but for the body's change of momentum over the time.
    const scale::Description d = endless_deck();
    world::Approach approach;
    approach.speed_m_per_s = 4.0;
    approach.suspension.unevenness_m3 = 16.0e-6;
    world::VehicleRide ride(tipper(), approach, d, 0.0, step_s, 9, 1);
    double t = 0.0;
    for (int n = 0; n < 500; ++n) ride.step(t += step_s);
    REQUIRE(ride.mass_on_deck_kg() == 25600.0);
    const double weight_N = 25600.0 * d.gravity;
    const double from = ride.bounce().velocity();
    double sum = 0.0;
    double squares = 0.0;
    constexpr int count = 12000;
    for (int n = 0; n < count; ++n) {
        ride.step(t += step_s);
        const double off = total_N(ride) / weight_N - 1.0;
        sum += off;
        squares += off * off;
    }
    const double momentum = (ride.bounce().velocity() - from) / d.gravity / (count * step_s);
    CHECK(std::sqrt(squares / count) > 5.0e-3);
    CHECK(sum / count == Approx(momentum).margin(2.0e-5));
}

TEST_CASE("braking moves load from the rear axle to the front, and none of it away", "[world]") {
    // Moment about the road: M a h = shift times wheelbase, for two axles.
    const files::Vehicle van{"", "van", {{4000.0, 0.0}, {6000.0, 4.0}}};
    const scale::Description d = endless_deck();
    world::Approach approach;
    approach.speed_m_per_s = 20.0;
    approach.braking_m_per_s2 = 1.0;
    approach.stop_front_at_m = 400.0;
    approach.suspension = world::Suspension::rigid();
    approach.suspension.pitch_Hz = 1.5;
    approach.suspension.pitch_damping = 0.3;
    approach.suspension.mass_height_m = 1.4;
    world::VehicleRide ride(van, approach, d, 0.0, step_s, 9, 1);
    double t = 0.0;
    const auto shift_N = [&] {
        const auto& axles = ride.on_deck();
        REQUIRE(axles.size() == 2);
        CHECK(axles[0].force_N + axles[1].force_N == Approx(10000.0 * d.gravity).epsilon(1.0e-12));
        return axles[0].force_N - 4000.0 * d.gravity;
    };
    while (t < 5.0) ride.step(t += step_s);
    CHECK(std::fabs(shift_N()) < 1.0e-6);
    // Brakes over the last 200 m, for 20 s.
    while (ride.front_x_m() < 380.0) ride.step(t += step_s);
    CHECK(shift_N() == Approx(10000.0 * 1.0 * 1.4 / 4.0).epsilon(1.0e-6));
    while (!ride.stands()) ride.step(t += step_s);
    double largest = 0.0;
    double last = 0.0;
    for (int n = 0; n < 1500; ++n) {
        ride.step(t += step_s);
        last = shift_N();
        largest = std::max(largest, -last);
    }
    // Let go at a standstill it swings to the other side, by the overshoot e^(-pi zeta / sqrt(1 - zeta^2)).
    CHECK(largest == Approx(3500.0 * std::exp(-pi * 0.3 / std::sqrt(1.0 - 0.09))).epsilon(0.02));
    CHECK(std::fabs(last) < 1.0e-3);
}

TEST_CASE("a vehicle that brakes stands where it should, after v^2 / 2a", "[world]") {
    world::Journey journey(10.0, -1.0, 2.0);
    journey.stop_at(9.0, 0.5);
    // 4 m of braking, 6 m before it at 2 m/s, then 4 s.
    CHECK(journey.speed_m_per_s(12.9) == 2.0);
    CHECK(journey.position_m(13.0) == Approx(5.0));
    CHECK(journey.speed_m_per_s(15.0) == Approx(1.0));
    CHECK(journey.acceleration_m_per_s2(15.0) == -0.5);
    CHECK(journey.position_m(17.0) == Approx(9.0));
    CHECK_FALSE(journey.stands(16.99));
    CHECK(journey.stands(17.01));
    CHECK(journey.position_m(1000.0) == Approx(9.0));
    journey.go(1000.0, -1.5, 0.5);
    CHECK_FALSE(journey.stands(1000.1));
    CHECK(journey.position_m(1003.0) == Approx(9.0 - 2.25));
    CHECK(journey.position_m(1005.0) == Approx(9.0 - 5.25));
}

TEST_CASE("a vehicle that must stop sooner than its brakes like brakes harder", "[world]") {
    world::Journey journey(0.0, 0.0, 3.0);
    journey.stop_at(1.0, 0.5);
    CHECK(journey.acceleration_m_per_s2(0.1) == Approx(-4.5));
    CHECK(journey.position_m(10.0) == Approx(1.0));
    CHECK(journey.speed_m_per_s(10.0) == 0.0);
}

TEST_CASE("a vehicle can go back out the way it came", "[world]") {
    const scale::Description d = oracle::plain_scale(8);
    world::VehicleRide ride(tipper(), rolling_to(5.0), d, 0.0, step_s, 1, 1);
    double t = 0.0;
    while (!ride.stands()) ride.step(t += step_s);
    ride.leave({true, 1.0, 0.5}, t);
    while (!ride.gone() && t < 100.0) ride.step(t += step_s);
    CHECK(ride.gone());
    CHECK(ride.on_deck().empty());
    CHECK(ride.front_x_m() == Approx(-0.4).margin(0.011));
}
