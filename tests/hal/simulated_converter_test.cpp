#include "hal/simulated/simulated_converter.h"

#include <array>
#include <catch2/catch.hpp>

using namespace cornerbench::hal;

// hal/converter.h and the class's own contract: nothing outside the project states them.

TEST_CASE("a full queue drops the oldest frames and leaves the gap to be seen", "[hal]") {
    SimulatedConverter converter(ConverterTraits{});
    constexpr std::size_t lost = 10;
    for (std::size_t i = 0; i < SimulatedConverter::capacity + lost; ++i)
        converter.push(static_cast<Microseconds>(i), std::array{static_cast<std::int32_t>(i)});
    CHECK(converter.waiting() == SimulatedConverter::capacity);
    std::array<Frame, 1> frame;
    std::size_t count = 0;
    REQUIRE(converter.take(1'000'000, frame, count) == Answer::done);
    REQUIRE(count == 1);
    CHECK(frame[0].sequence == lost);
    CHECK(frame[0].code[0] == static_cast<std::int32_t>(lost));
}

TEST_CASE("a frame is not handed out before its conversion has ended", "[hal]") {
    SimulatedConverter converter(ConverterTraits{});
    converter.push(500, std::array{7});
    std::array<Frame, 2> frames;
    std::size_t count = 9;
    REQUIRE(converter.take(499, frames, count) == Answer::done);
    CHECK(count == 0);
    REQUIRE(converter.take(500, frames, count) == Answer::done);
    CHECK(count == 1);
}

TEST_CASE("the simulated converter saturates at its bits and keeps old codes that are not converted",
          "[hal]") {
    SimulatedConverter converter(ConverterTraits{.channels = 3, .bits = 16});
    REQUIRE(converter.select(Excitation::forward, 0b111) == Answer::done);
    converter.push(1, std::array{32'767, -32'768, 5});
    converter.push(2, std::array{32'768, -32'769, 6}, std::array<std::uint8_t, 3>{0, 0, sample_bus_error});
    REQUIRE(converter.select(Excitation::off, 0b011) == Answer::done);
    converter.push(3, std::array{8, 9, 10});
    std::array<Frame, 3> frames;
    std::size_t count = 0;
    REQUIRE(converter.take(3, frames, count) == Answer::done);
    REQUIRE(count == 3);
    CHECK(frames[0].fault[0] == sample_good);
    CHECK(frames[0].fault[1] == sample_good);
    CHECK(frames[1].code[0] == 32'767);
    CHECK(frames[1].code[1] == -32'768);
    CHECK(frames[1].fault[0] == sample_over_range);
    CHECK(frames[1].fault[1] == sample_over_range);
    CHECK(frames[1].code[2] == 5);
    CHECK(frames[1].fault[2] == sample_bus_error);
    CHECK(frames[2].fault[0] == sample_reference_missing);
    CHECK(frames[2].fault[2] == sample_not_new);
    CHECK(frames[2].code[2] == 5);
}

TEST_CASE("a converter told to fail answers so and keeps its frames", "[hal]") {
    SimulatedConverter converter(ConverterTraits{});
    converter.push(1, std::array{1});
    converter.set_answer(Answer::failed);
    std::array<Frame, 2> frames;
    std::size_t count = 9;
    CHECK(converter.take(1, frames, count) == Answer::failed);
    CHECK(count == 0);
    CHECK(converter.select(Excitation::off, 1) == Answer::failed);
    CHECK(converter.excitation() == Excitation::forward);
    converter.set_answer(Answer::done);
    CHECK(converter.take(1, frames, count) == Answer::done);
    CHECK(count == 1);
}
