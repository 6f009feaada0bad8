#include "firmware/weighing/stability.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <limits>
#include <type_traits>
#include <vector>

#include "tests/random_scale.h"

using namespace cornerbench;
using weighing::Stability;
using weighing::StabilitySettings;
using weighing::values_spanning;

static_assert(std::is_trivially_copyable_v<Stability>);

TEST_CASE("A band of one division is kept to its edge", "[weighing]") {
    // The band of OIML R 76-1:2006, 4.4.2 (from memory): 1 e. 20 kg apart is still at rest by 20 kg, more is
    // not.
    const auto rests = [](double apart_kg) {
        Stability stability({1.0, 5}, 20.0);
        for (int i = 0; i < 20; ++i) stability.push(i % 2 == 0 ? 40000.0 : 40000.0 + apart_kg);
        return stability.stable();
    };
    CHECK(rests(0.0));
    CHECK(rests(20.0));
    CHECK_FALSE(rests(20.001));
    CHECK_FALSE(rests(-20.001));
}

TEST_CASE("Rest takes its time, and motion none", "[weighing]") {
    Stability stability({1.0, 11}, 20.0);
    CHECK(stability.in_motion());
    for (int i = 0; i < 10; ++i) CHECK_FALSE(stability.push(100.0));
    CHECK(stability.push(100.0));
    CHECK_FALSE(stability.push(130.0));
    for (int i = 0; i < 9; ++i) CHECK_FALSE(stability.push(130.0));
    CHECK(stability.push(130.0));  // the last 100 has left the window
}

TEST_CASE("A drift faster than the band in a window is motion, a slower one is rest", "[weighing]") {
    // Ten steps between the eleven values of a window: 2 kg a value spreads 20 kg.
    Stability slow({1.0, 11}, 20.0);
    Stability fast({1.0, 11}, 20.0);
    for (int i = 0; i < 100; ++i) {
        slow.push(2.0 * i);
        fast.push(2.1 * i);
    }
    CHECK(slow.stable());
    CHECK_FALSE(fast.stable());
}

TEST_CASE("Stability is what looking back over every weight finds", "[weighing]") {
    tests::Draw draw(61);
    int rested = 0;
    for (int round = 0; round < 200; ++round) {
        const StabilitySettings settings{draw.uniform(0.2, 3.0),
                                         draw.integer(2, weighing::max_stability_values)};
        Stability stability(settings, 20.0);
        std::vector<double> weights;
        double load = 0.0;
        for (int i = 0; i < 600; ++i) {
            if (draw.chance(0.01)) load = draw.uniform(0.0, 60000.0);
            const double weight = load + draw.uniform(-15.0, 15.0);
            if (draw.chance(0.003)) {
                stability.interrupt();
                weights.clear();
            }
            if (draw.chance(0.002)) {
                REQUIRE_FALSE(stability.push(draw.one_of({std::nan(""), HUGE_VAL, -HUGE_VAL})));
                weights.clear();
            }
            weights.push_back(weight);
            const bool stable = stability.push(weight);
            const auto n = static_cast<std::size_t>(settings.values);
            bool expected = weights.size() >= n;
            if (expected) {
                const auto [low, high] =
                    std::minmax_element(weights.end() - static_cast<long>(n), weights.end());
                expected = *high - *low <= settings.band_divisions * 20.0;
            }
            REQUIRE(stable == expected);
            REQUIRE(stability.stable() == expected);
            REQUIRE(stability.in_motion() != expected);
            rested += stable ? 1 : 0;
        }
    }
    CHECK(rested > 10000);
    CHECK(rested < 100000);
}

TEST_CASE("A window in time is as many values as it takes to span it", "[weighing]") {
    CHECK(values_spanning(1'000'000, 10'000) == 11);  // 1 s at 10 Hz: ten steps
    CHECK(values_spanning(1'000'001, 10'000) == 12);
    CHECK(values_spanning(500'000, 10'000) == 6);
    CHECK(values_spanning(1, 10'000) == 2);
    CHECK(values_spanning(0, 10'000) == 2);
    CHECK(values_spanning(1'000'000, 0) == 2);
    CHECK(values_spanning(60'000'000, 10'000) == weighing::max_stability_values);
    CHECK(values_spanning(std::numeric_limits<std::int64_t>::max(), 10'000) ==
          weighing::max_stability_values);
}

TEST_CASE("A stability without sensible settings never claims rest", "[weighing]") {
    for (Stability stability : {Stability(), Stability({1.0, 5}, 0.0), Stability({-1.0, 5}, 20.0),
                                Stability({1.0, 5}, std::nan("")), Stability({std::nan(""), 5}, 20.0)}) {
        for (int i = 0; i < 100; ++i) CHECK_FALSE(stability.push(5.0));
    }
    Stability least({1.0, -3}, 20.0);
    least.push(1.0);
    CHECK(least.push(1.0));
}
