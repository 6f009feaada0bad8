#include "sim/faults/torn_memory.h"

#include <array>
#include <catch2/catch.hpp>
#include <set>

using namespace cornerbench;
using faults::MemoryCut;
using faults::MemoryWear;
using faults::TornMemory;
using faults::WeakReads;
using hal::Answer;

namespace {

constexpr hal::MemoryGeometry small{.program_size = 4, .block_size = 16, .block_count = 2};

using Block = std::array<std::uint8_t, 16>;

Block read(TornMemory& memory, std::uint32_t block = 0) {
    Block bytes{};
    REQUIRE(memory.read(block, 0, bytes) == Answer::done);
    return bytes;
}

Answer program(TornMemory& memory, std::uint32_t offset, const std::vector<std::uint8_t>& bytes) {
    if (const Answer answer = memory.start_program(0, offset, bytes); answer != Answer::done) return answer;
    return memory.poll(0);
}

Answer sync(TornMemory& memory) {
    if (const Answer answer = memory.start_sync(); answer != Answer::done) return answer;
    return memory.poll(0);
}

}  // namespace

TEST_CASE("an erased block reads what the geometry says, and bits leave that state only", "[faults]") {
    for (const std::uint8_t erased : {std::uint8_t{0x00}, std::uint8_t{0xFF}}) {
        hal::MemoryGeometry geometry = small;
        geometry.erased_value = erased;
        TornMemory memory(geometry);
        CHECK(read(memory)[7] == erased);
        REQUIRE(program(memory, 4, {0x0F, 0x0F, 0x0F, 0x0F}) == Answer::done);
        REQUIRE(program(memory, 4, {0x3C, 0x3C, 0x3C, 0x3C}) == Answer::done);
        CHECK(read(memory)[4] == (erased == 0xFF ? 0x0C : 0x3F));
        REQUIRE(memory.start_erase(0) == Answer::done);
        REQUIRE(memory.poll(0) == Answer::done);
        CHECK(read(memory)[4] == erased);
    }
}

TEST_CASE("a cut in a program leaves whole units, a weak one and untouched ones", "[faults]") {
    for (const WeakReads reads : {WeakReads::as_before, WeakReads::as_after, WeakReads::first_before,
                                  WeakReads::first_after, WeakReads::scattered}) {
        TornMemory memory(small);
        memory.start();
        memory.plan({0, 1, 0, reads}, 5);
        CHECK(program(memory, 0, std::vector<std::uint8_t>(12, 0)) == Answer::failed);
        REQUIRE(memory.off());
        REQUIRE(memory.refusal().empty());
        Block none{};
        CHECK(memory.read(0, 0, none) == Answer::failed);
        std::set<int> seen;
        for (int start = 1; start <= 2; ++start) {
            memory.start();
            for (int i = 0; i < 50; ++i) {
                const Block bytes = read(memory);
                CHECK(bytes[3] == 0x00);
                CHECK(bytes[8] == 0xFF);
                seen.insert(start * 256 + bytes[4]);
            }
        }
        const std::set<int> before_then{256 + 0xFF, 512};
        switch (reads) {
            case WeakReads::as_before:
                CHECK(seen == std::set<int>{256 + 0xFF, 512 + 0xFF});
                break;
            case WeakReads::as_after:
                CHECK(seen == std::set<int>{256, 512});
                break;
            case WeakReads::first_before:
                CHECK(seen == before_then);
                break;
            case WeakReads::first_after:
                CHECK(seen == std::set<int>{256, 512 + 0xFF});
                break;
            case WeakReads::scattered:
                CHECK(seen.size() > 50);
                break;
        }
    }
}

TEST_CASE("weak bits stay weak when they are programmed over, until an erase", "[faults]") {
    TornMemory memory(small);
    memory.start();
    memory.plan({0, 0, 0, WeakReads::first_before}, 1);
    REQUIRE(program(memory, 0, {0x00, 0x00, 0x00, 0x00}) == Answer::failed);
    memory.start();
    CHECK(read(memory)[0] == 0xFF);  // looks erased
    REQUIRE(program(memory, 0, {0x55, 0x55, 0x55, 0x55}) == Answer::done);
    CHECK(read(memory)[0] == 0x55);  // and looks right
    memory.start();
    CHECK(read(memory)[0] == 0x00);
    REQUIRE(memory.start_erase(0) == Answer::done);
    REQUIRE(memory.poll(0) == Answer::done);
    REQUIRE(program(memory, 0, {0x55, 0x55, 0x55, 0x55}) == Answer::done);
    memory.start();
    CHECK(read(memory)[0] == 0x55);
}

TEST_CASE("a cut in an erase may leave a block that looks erased", "[faults]") {
    TornMemory memory(small);
    memory.start();
    REQUIRE(program(memory, 0, std::vector<std::uint8_t>(16, 0x00)) == Answer::done);
    REQUIRE(sync(memory) == Answer::done);
    memory.start();
    memory.plan({0, 2, 0, WeakReads::first_after}, 1);
    REQUIRE(memory.start_erase(0) == Answer::done);
    REQUIRE(memory.poll(0) == Answer::failed);
    memory.start();
    CHECK(read(memory)[9] == 0xFF);
    memory.start();
    CHECK(read(memory)[9] == 0x00);
}

TEST_CASE("of what is not synced any part may be lost, and nothing of the rest", "[faults]") {
    for (std::uint32_t lost = 0; lost < 4; ++lost) {
        TornMemory memory(small);
        memory.start();
        REQUIRE(program(memory, 0, {1, 1, 1, 1}) == Answer::done);
        REQUIRE(sync(memory) == Answer::done);
        REQUIRE(program(memory, 4, {2, 2, 2, 2}) == Answer::done);
        REQUIRE(program(memory, 8, {3, 3, 3, 3}) == Answer::done);
        memory.plan({4, 0, lost, WeakReads::as_before}, 1);
        CHECK(sync(memory) == Answer::failed);
        memory.start();
        const Block bytes = read(memory);
        CHECK(bytes[0] == 1);
        CHECK(bytes[4] == ((lost & 1u) != 0 ? 0xFF : 2));
        CHECK(bytes[8] == ((lost & 2u) != 0 ? 0xFF : 3));
    }
}

TEST_CASE("a worn part fails as often as it is told to", "[faults]") {
    TornMemory memory(small);
    memory.wear({MemoryWear::Kind::program_fails, 1, 1});
    CHECK(program(memory, 0, {0, 0, 0, 0}) == Answer::done);
    CHECK(program(memory, 4, std::vector<std::uint8_t>(8, 0)) == Answer::failed);
    CHECK(read(memory)[7] == 0x00);
    CHECK(read(memory)[8] == 0xFF);
    CHECK(program(memory, 12, {0, 0, 0, 0}) == Answer::done);
    memory.wear({MemoryWear::Kind::bit_sticks, 0, 1});
    CHECK(program(memory, 8, {0, 0, 0, 0}) == Answer::done);
    CHECK(read(memory)[11] == 0x01);
}

TEST_CASE("a fault that is not in the model is refused in words", "[faults]") {
    using Kind = TornMemory::Kind;
    CHECK(TornMemory::refuses({Kind::program, 3, 0}, MemoryCut{0, 3, 0, WeakReads::scattered}).empty());
    CHECK_FALSE(TornMemory::refuses({Kind::program, 3, 0}, MemoryCut{0, 4, 0, WeakReads::scattered}).empty());
    CHECK_FALSE(TornMemory::refuses({Kind::program, 3, 1}, MemoryCut{0, 0, 2, WeakReads::scattered}).empty());
    CHECK_FALSE(TornMemory::refuses({Kind::sync, 0, 1}, MemoryCut{0, 1, 0, WeakReads::scattered}).empty());
    CHECK_FALSE(TornMemory::refuses(MemoryWear{static_cast<MemoryWear::Kind>(9), 0, 1}).empty());
    CHECK_FALSE(TornMemory::refuses(MemoryWear{MemoryWear::Kind::sync_fails, 0, 0}).empty());
    CHECK(TornMemory::refuses(MemoryWear{}).empty());
}
