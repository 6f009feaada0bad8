#include "sim/live/pace.h"

#include <catch2/catch.hpp>

#include "tests/random_scale.h"

using namespace cornerbench;
using live::Pace;

TEST_CASE("frames are due by the clock, whenever it is looked at", "[live]") {
    tests::Draw draw(3);
    for (const double factor : {0.01, 0.5, 1.0, 7.3, 1000.0}) {
        Pace pace(factor, 10'000.0);
        std::int64_t now_us = 123'456;
        const std::int64_t begin_us = now_us;
        std::int64_t frames = pace.due(now_us, 1'000'000);
        while (now_us - begin_us < 60'000'000) {
            now_us += draw.integer(1, 200'000);
            frames += pace.due(now_us, 1'000'000);
            const double exact = static_cast<double>(now_us - begin_us) * factor / 10'000.0;
            REQUIRE(static_cast<double>(frames) <= exact + 1.0e-6);
            REQUIRE(static_cast<double>(frames) > exact - 1.0 - 1.0e-6);
        }
    }
}

TEST_CASE("the wait is over just when the next frame is due", "[live]") {
    Pace pace(2.0, 10'000.0);
    std::int64_t now_us = 0;
    (void)pace.due(now_us, 10);
    for (int i = 0; i < 100; ++i) {
        const std::int64_t wait_us = pace.wait_us(now_us);
        REQUIRE(wait_us > 0);
        CHECK(pace.due(now_us + wait_us - 1, 10) == 0);
        now_us += wait_us;
        CHECK(pace.due(now_us, 10) == 1);
    }
}

TEST_CASE("a pause is not made up for, and what is too much for one turn is done in the next", "[live]") {
    Pace pace(1.0, 10'000.0);
    (void)pace.due(0, 10);
    // A quarter of a second at most.
    int frames = 0;
    for (int i = 0; i < 10; ++i) frames += pace.due(3'600'000'000, 10);
    CHECK(frames == 25);
    CHECK(pace.wait_us(3'600'000'000) > 0);
}

TEST_CASE("as fast as it goes never waits", "[live]") {
    Pace pace(0.0, 10'000.0);
    CHECK(pace.due(0, 77) == 77);
    CHECK(pace.wait_us(0) == 0);
}
