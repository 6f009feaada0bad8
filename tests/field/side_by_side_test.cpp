#include "sim/field/side_by_side.h"

#include <catch2/catch.hpp>
#include <chrono>
#include <stdexcept>
#include <string>

using cornerbench::field::side_by_side;

TEST_CASE("What is worked out side by side is taken in order, on the caller's thread", "[field]") {
    const auto here = std::this_thread::get_id();
    std::vector<int> taken;
    side_by_side(
        3, 203,
        [&](int i) {
            // The first ones take longest.
            std::this_thread::sleep_for(std::chrono::microseconds(i < 10 ? 2000 : 10));
            return std::to_string(i * i);
        },
        [&](int i, std::string&& square) {
            CHECK(std::this_thread::get_id() == here);
            CHECK(square == std::to_string(i * i));
            taken.push_back(i);
        });
    REQUIRE(taken.size() == 200);
    for (std::size_t k = 0; k < taken.size(); ++k) CHECK(taken[k] == 3 + static_cast<int>(k));
}

TEST_CASE("Nothing to work out calls nothing", "[field]") {
    bool called = false;
    for (const int end : {5, 4, -1}) {
        side_by_side(
            5, end, [](int i) { return i; }, [&](int, int) { called = true; });
    }
    CHECK_FALSE(called);
}

TEST_CASE("What one throws comes in its turn, and ends the work", "[field]") {
    std::vector<int> taken;
    const auto fails_at_7 = [](int i) {
        if (i == 7) throw std::runtime_error("seven");
        return i;
    };
    CHECK_THROWS_WITH(side_by_side(0, 1000, fails_at_7, [&](int i, int) { taken.push_back(i); }), "seven");
    CHECK(taken == std::vector<int>{0, 1, 2, 3, 4, 5, 6});
    // What the taker throws ends it as well.
    CHECK_THROWS_AS(side_by_side(
                        0, 1000, [](int i) { return i; },
                        [](int i, int) {
                            if (i == 3) throw std::logic_error("full");
                        }),
                    std::logic_error);
}
