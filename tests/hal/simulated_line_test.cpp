#include "hal/simulated/simulated_line.h"

#include <array>
#include <catch2/catch.hpp>
#include <vector>

using namespace cornerbench::hal;

// hal/line.h and the class's own contract: nothing outside the project states them.

TEST_CASE("bytes before an overrun come whole, then one failure, then what was sent after it", "[hal]") {
    SimulatedLine line;
    const std::vector<std::uint8_t> much(SimulatedLine::capacity + 50, 'a');
    CHECK(line.peer_sends(much) == SimulatedLine::capacity);
    std::vector<std::uint8_t> got(SimulatedLine::capacity);
    std::size_t count = 0;
    REQUIRE(line.receive(std::span(got).first(10), count) == Answer::done);
    CHECK(count == 10);
    CHECK(line.peer_sends(std::array<std::uint8_t, 1>{'b'}) == 0);
    REQUIRE(line.receive(got, count) == Answer::done);
    CHECK(count == SimulatedLine::capacity - 10);
    CHECK(line.receive(got, count) == Answer::failed);
    CHECK(count == 0);
    CHECK(line.peer_sends(std::array<std::uint8_t, 1>{'c'}) == 1);
    REQUIRE(line.receive(got, count) == Answer::done);
    CHECK(count == 1);
    CHECK(got[0] == 'c');
}

TEST_CASE("a line whose other end does not read takes no more than it has room for", "[hal]") {
    SimulatedLine line;
    const std::vector<std::uint8_t> much(SimulatedLine::capacity + 50, 'a');
    std::size_t count = 0;
    REQUIRE(line.send(much, count) == Answer::done);
    CHECK(count == SimulatedLine::capacity);
    REQUIRE(line.send(much, count) == Answer::done);
    CHECK(count == 0);
    std::array<std::uint8_t, 20> some{};
    CHECK(line.peer_takes(some) == 20);
    REQUIRE(line.send(much, count) == Answer::done);
    CHECK(count == 20);
}
