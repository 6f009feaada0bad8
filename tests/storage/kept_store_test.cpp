#include "firmware/storage/kept_store.h"

#include <catch2/catch.hpp>
#include <memory>

#include "firmware/storage/crc32c.h"
#include "hal/simulated/simulated_memory.h"

using namespace cornerbench;
using hal::MemoryOperation;
using storage::Kept;
using storage::KeptStore;
using storage::Loaded;
using storage::Saving;

namespace {

/// Time and a memory of two areas of five slots.
struct Bench {
    hal::SimulatedClock clock;
    std::unique_ptr<hal::SimulatedMemory> memory =
        std::make_unique<hal::SimulatedMemory>(clock, hal::MemoryGeometry{8, 2048, 2});

    void tick() { clock.set(clock.time_us() + 1'000); }

    /// Goes on to the end; at most ten seconds.
    Saving finish(KeptStore& store) {
        for (int i = 0; i < 10'000; ++i) {
            tick();
            const Saving saving = store.step(clock.time_us());
            if (saving != Saving::under_way) return saving;
        }
        return Saving::under_way;
    }
    Saving save(KeptStore& store, const Kept& kept) {
        return store.start(kept) ? finish(store) : Saving::failed;
    }
    /// As a box starts: what is in doubt is settled.
    Loaded load(KeptStore& store, Kept& kept) {
        Loaded loaded = store.load(kept);
        if (loaded != Loaded::in_doubt && loaded != Loaded::older) return loaded;
        if (!store.start_settling() || finish(store) != Saving::done) return Loaded::damaged;
        return Loaded::kept;
    }
};

Kept kept_number(int number) {
    Kept kept = storage::factory_kept();
    kept.calibrated = true;
    kept.calibration = {1.0e-4 * number, 6.0e7, 0.0};
    kept.calibration_changes = static_cast<std::uint32_t>(number);
    return kept;
}

/// What a store finds that starts anew on this memory.
std::pair<Loaded, Kept> found(Bench& bench) {
    KeptStore store(*bench.memory);
    Kept kept = storage::factory_kept();
    const Loaded loaded = bench.load(store, kept);
    return {loaded, kept};
}

}  // namespace

TEST_CASE("a new memory was never set, and keeps what is saved", "[storage]") {
    Bench bench;
    KeptStore store(*bench.memory);
    Kept kept = storage::factory_kept();
    CHECK(store.load(kept) == Loaded::never_set);
    for (int number = 1; number <= 30; ++number) {
        REQUIRE(bench.save(store, kept_number(number)) == Saving::done);
        const auto [loaded, now] = found(bench);
        REQUIRE(loaded == Loaded::kept);
        REQUIRE(now == kept_number(number));
    }
    CHECK(store.step(bench.clock.time_us()) == Saving::idle);
}

TEST_CASE("a store goes on behind what an earlier start has written", "[storage]") {
    Bench bench;
    for (int number = 1; number <= 20; ++number) {
        KeptStore store(*bench.memory);
        Kept kept = storage::factory_kept();
        const Loaded loaded = bench.load(store, kept);
        REQUIRE(loaded == (number == 1 ? Loaded::never_set : Loaded::kept));
        if (number > 1) REQUIRE(kept == kept_number(number - 1));
        REQUIRE(bench.save(store, kept_number(number)) == Saving::done);
    }
}

TEST_CASE("a power cut at any moment of any save leaves the old record or the new one", "[storage]") {
    int old_ones = 0;
    int new_ones = 0;
    for (int before = 0; before < 9; ++before) {
        for (int cut_at = 0; cut_at < 60; ++cut_at) {
            for (const std::uint64_t seed : {1u, 2u, 3u, 4u}) {
                Bench bench;
                KeptStore store(*bench.memory);
                Kept kept = storage::factory_kept();
                (void)store.load(kept);
                for (int number = 1; number <= before; ++number)
                    REQUIRE(bench.save(store, kept_number(number)) == Saving::done);
                REQUIRE(store.start(kept_number(before + 1)));
                Saving saving = Saving::under_way;
                for (int i = 0; i < cut_at && saving == Saving::under_way; ++i) {
                    bench.tick();
                    saving = store.step(bench.clock.time_us());
                }
                bench.memory->cut_power(seed);
                const auto [loaded, now] = found(bench);
                INFO("before " << before << ", cut after step " << cut_at << ", seed " << seed);
                if (before == 0) {
                    // Nothing was there: nothing, half of something, or the new one.
                    if (loaded == Loaded::kept) REQUIRE(now == kept_number(1));
                    if (loaded != Loaded::kept) REQUIRE_FALSE(now.calibrated);
                } else {
                    REQUIRE(loaded == Loaded::kept);
                    const bool is_old = now == kept_number(before);
                    const bool is_new = now == kept_number(before + 1);
                    REQUIRE((is_old || is_new));
                    old_ones += is_old ? 1 : 0;
                    new_ones += is_new ? 1 : 0;
                }
                if (saving == Saving::done) REQUIRE(now == kept_number(before + 1));
                // And the next start can save again.
                KeptStore again(*bench.memory);
                Kept dummy = storage::factory_kept();
                (void)bench.load(again, dummy);
                REQUIRE(bench.save(again, kept_number(99)) == Saving::done);
                REQUIRE(found(bench).second == kept_number(99));
            }
        }
    }
    CHECK(old_ones > 20);
    CHECK(new_ones > 20);
}

TEST_CASE("a slot that does not take its record is passed over", "[storage]") {
    Bench bench;
    KeptStore store(*bench.memory);
    Kept kept = storage::factory_kept();
    (void)store.load(kept);
    REQUIRE(bench.save(store, kept_number(1)) == Saving::done);
    bench.memory->fail(MemoryOperation::program, 2);
    REQUIRE(bench.save(store, kept_number(2)) == Saving::done);
    CHECK(found(bench).second == kept_number(2));
}

TEST_CASE("a memory that takes nothing any more keeps what it has, and says so", "[storage]") {
    Bench bench;
    KeptStore store(*bench.memory);
    Kept kept = storage::factory_kept();
    (void)store.load(kept);
    REQUIRE(bench.save(store, kept_number(1)) == Saving::done);
    bench.memory->fail(MemoryOperation::program, 1000);
    CHECK(bench.save(store, kept_number(2)) == Saving::failed);
    CHECK(found(bench).second == kept_number(1));
}

TEST_CASE("a closed record that cannot be read any more is not replaced by the one before", "[storage]") {
    Bench bench;
    KeptStore store(*bench.memory);
    Kept kept = storage::factory_kept();
    (void)store.load(kept);
    for (int number = 1; number <= 3; ++number)
        REQUIRE(bench.save(store, kept_number(number)) == Saving::done);
    // NOR flash can be programmed over: bits that were ones become zeroes. Two saves fill block 1 but for
    // what is left free, so the third lies in block 0, its record behind the 16 bytes of an opening mark.
    const std::array<std::uint8_t, 8> zeroes{};
    REQUIRE(bench.memory->start_program(0, 16, zeroes) == hal::Answer::done);
    bench.tick();
    REQUIRE(bench.memory->poll(bench.clock.time_us()) == hal::Answer::done);
    const auto [loaded, now] = found(bench);
    CHECK(loaded == Loaded::damaged);
    CHECK_FALSE(now.calibrated);
    CHECK(now.calibration_changes >= 3);

    // Set up anew, its counters go on from there and cannot be set back.
    KeptStore again(*bench.memory);
    Kept rest = storage::factory_kept();
    REQUIRE(again.load(rest) == Loaded::damaged);
    CHECK_FALSE(again.start(kept_number(2)));
    Kept fresh = kept_number(9);
    fresh.calibration_changes = rest.calibration_changes + 1;
    fresh.configuration_changes = rest.configuration_changes;
    REQUIRE(bench.save(again, fresh) == Saving::done);
    CHECK(found(bench) == std::pair{Loaded::kept, fresh});
}

TEST_CASE("a memory of which nothing can be read is told from one that was never set", "[storage]") {
    Bench bench;
    KeptStore store(*bench.memory);
    Kept kept = storage::factory_kept();
    (void)store.load(kept);
    REQUIRE(bench.save(store, kept_number(1)) == Saving::done);
    bench.memory->make_unreadable(1);
    KeptStore again(*bench.memory);
    CHECK(again.load(kept) == Loaded::unreadable);
    CHECK_FALSE(again.start(kept_number(2)));

    hal::SimulatedClock clock;
    auto tiny = std::make_unique<hal::SimulatedMemory>(clock, hal::MemoryGeometry{8, 1024, 2});
    KeptStore too_small(*tiny);
    CHECK(too_small.load(kept) == Loaded::unreadable);
    CHECK_FALSE(too_small.start(kept));
    auto one_block = std::make_unique<hal::SimulatedMemory>(clock, hal::MemoryGeometry{8, 8192, 1});
    KeptStore one_area(*one_block);
    CHECK(one_area.load(kept) == Loaded::unreadable);
}

TEST_CASE("a newer version's record is left alone", "[storage]") {
    Bench bench;
    // FORMAT.md: magic, version, size, number; CRC-32C in the last four of as many bytes.
    std::array<std::uint8_t, 400> bytes{0x31, 0x63, 0x62, 0x6B, 3, 0, 400 % 256, 400 / 256, 9};
    const std::uint32_t crc = storage::crc32c(std::span(bytes).first(396));
    for (std::size_t i = 0; i < 4; ++i) bytes[396 + i] = static_cast<std::uint8_t>(crc >> (8 * i));
    // In slots of its own, which are larger than ours.
    REQUIRE(bench.memory->start_program(0, 16, bytes) == hal::Answer::done);
    bench.tick();
    REQUIRE(bench.memory->poll(bench.clock.time_us()) == hal::Answer::done);
    KeptStore store(*bench.memory);
    Kept kept = storage::factory_kept();
    CHECK(store.load(kept) == Loaded::newer);
    CHECK_FALSE(store.start(kept_number(1)));
}
