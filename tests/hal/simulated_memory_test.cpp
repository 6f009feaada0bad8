#include "hal/simulated/simulated_memory.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <memory>
#include <set>
#include <string>
#include <vector>

using namespace cornerbench::hal;

// What a NOR flash does and does not promise is the part maker's data sheet in general: common practice, no
// source.

namespace {

constexpr MemoryGeometry small{.program_size = 8, .block_size = 256, .block_count = 2};

struct Bench {
    SimulatedClock clock;
    SimulatedMemory memory{clock, small};

    Answer finish() {
        clock.set(clock.time_us() + 1'000'000);
        return memory.poll(clock.time_us());
    }
    Answer program(std::uint32_t block, std::uint32_t offset, std::uint8_t value, std::size_t size = 8) {
        const std::vector<std::uint8_t> bytes(size, value);
        const Answer answer = memory.start_program(block, offset, bytes);
        return answer == Answer::done ? finish() : answer;
    }
    Answer sync() {
        const Answer answer = memory.start_sync();
        return answer == Answer::done ? finish() : answer;
    }
    std::vector<std::uint8_t> contents() const {
        return {memory.contents().begin(), memory.contents().end()};
    }
};

}  // namespace

TEST_CASE("a program of the simulated memory only clears bits", "[hal]") {
    const auto bench = std::make_unique<Bench>();
    REQUIRE(bench->program(0, 8, 0xF0) == Answer::done);
    REQUIRE(bench->program(0, 8, 0x3C) == Answer::done);
    CHECK(bench->contents()[8] == 0x30);
    CHECK(bench->contents()[16] == 0xFF);
}

TEST_CASE("an operation of the simulated memory takes its time", "[hal]") {
    SimulatedClock clock(500);
    const auto memory = std::make_unique<SimulatedMemory>(
        clock, small, MemoryTimes{.program_unit_us = 10, .erase_us = 1000, .sync_us = 7});
    const std::vector<std::uint8_t> bytes(24, 0);
    REQUIRE(memory->start_program(0, 0, bytes) == Answer::done);
    CHECK(memory->poll(529) == Answer::busy);
    CHECK(memory->poll(530) == Answer::done);
    REQUIRE(memory->start_erase(0) == Answer::done);
    CHECK(memory->poll(1499) == Answer::busy);
    CHECK(memory->poll(1500) == Answer::done);
    REQUIRE(memory->start_sync() == Answer::done);
    CHECK(memory->poll(506) == Answer::busy);
    CHECK(memory->poll(507) == Answer::done);
}

TEST_CASE("a power cut may lose any of the unsynced programs and none of the synced", "[hal]") {
    std::set<std::pair<bool, bool>> kept;
    for (std::uint64_t seed = 0; seed < 64; ++seed) {
        const auto bench = std::make_unique<Bench>();
        REQUIRE(bench->program(0, 0, 0x11) == Answer::done);
        REQUIRE(bench->sync() == Answer::done);
        REQUIRE(bench->program(0, 8, 0x22) == Answer::done);
        REQUIRE(bench->program(0, 16, 0x33) == Answer::done);
        bench->memory.cut_power(seed);
        const auto bytes = bench->contents();
        CHECK(bytes[0] == 0x11);
        CHECK((bytes[8] == 0x22 || bytes[8] == 0xFF));
        CHECK((bytes[16] == 0x33 || bytes[16] == 0xFF));
        kept.emplace(bytes[8] == 0x22, bytes[16] == 0x33);
    }
    CHECK(kept.size() == 4);
}

TEST_CASE("a power cut tears the operation under way at any point, and one seed tears it one way", "[hal]") {
    const bool erases = GENERATE(false, true);
    std::set<std::string> outcomes;
    bool untouched = false;
    bool complete = false;
    for (std::uint64_t seed = 0; seed < 200; ++seed) {
        std::vector<std::uint8_t> first;
        for (int turn = 0; turn < 2; ++turn) {
            const auto bench = std::make_unique<Bench>();
            if (erases) REQUIRE(bench->program(1, 0, 0x00, 256) == Answer::done);
            if (erases) REQUIRE(bench->sync() == Answer::done);
            const std::vector<std::uint8_t> bytes(32, 0x00);
            REQUIRE((erases ? bench->memory.start_erase(1) : bench->memory.start_program(1, 0, bytes)) ==
                    Answer::done);
            bench->memory.cut_power(seed);
            CHECK(bench->memory.under_way() == MemoryOperation::none);
            const auto left = bench->contents();
            CHECK(std::all_of(left.begin(), left.begin() + 256, [](int byte) { return byte == 0xFF; }));
            if (turn == 1) CHECK(left == first);
            first = left;
        }
        outcomes.emplace(first.begin(), first.end());
        const auto block = first.begin() + 256;
        untouched =
            untouched || std::all_of(block, block + 32, [&](int b) { return b == (erases ? 0 : 0xFF); });
        complete =
            complete || std::all_of(block, block + 32, [&](int b) { return b == (erases ? 0xFF : 0); });
    }
    CHECK(outcomes.size() > 50);
    CHECK(complete);
    CHECK(untouched);
}

TEST_CASE("the simulated memory fails as asked", "[hal]") {
    const auto bench = std::make_unique<Bench>();
    bench->memory.fail(MemoryOperation::program, 2, 1);
    CHECK(bench->program(0, 0, 0x00, 32) == Answer::done);
    CHECK(bench->program(0, 64, 0x00, 32) == Answer::failed);
    CHECK(bench->contents()[64 + 15] == 0x00);
    CHECK(bench->contents()[64 + 16] == 0xFF);
    CHECK(bench->program(0, 128, 0x00, 32) == Answer::failed);
    CHECK(bench->program(0, 192, 0x00, 32) == Answer::done);

    bench->memory.make_unreadable(0);
    std::array<std::uint8_t, 4> bytes{};
    CHECK(bench->memory.read(0, 0, bytes) == Answer::failed);
    CHECK(bench->memory.read(1, 0, bytes) == Answer::done);
}

TEST_CASE("a full write cache makes the oldest entries lasting", "[hal]") {
    for (std::uint64_t seed = 0; seed < 20; ++seed) {
        SimulatedClock clock;
        const auto memory = std::make_unique<SimulatedMemory>(clock);
        const std::vector<std::uint8_t> bytes(8, 0x00);
        for (std::uint32_t i = 0; i < SimulatedMemory::unsynced_capacity + 10; ++i) {
            REQUIRE(memory->start_program(0, 8 * i, bytes) == Answer::done);
            clock.set(clock.time_us() + 1000);
            REQUIRE(memory->poll(clock.time_us()) == Answer::done);
        }
        memory->cut_power(seed);
        const auto left = memory->contents();
        CHECK(std::all_of(left.begin(), left.begin() + 80, [](int byte) { return byte == 0; }));
    }
}

TEST_CASE("a flipped bit of the simulated memory stays over a power cut", "[hal]") {
    SimulatedClock clock;
    const auto memory = std::make_unique<SimulatedMemory>(clock);
    const std::uint8_t before = memory->contents()[33];
    memory->flip_bit(33, 5);
    memory->cut_power(1);
    CHECK((memory->contents()[33] ^ before) == 1 << 5);
    CHECK(memory->contents()[32] == before);
    memory->flip_bit(SimulatedMemory::capacity, 0);
}
