#include <algorithm>
#include <catch2/catch.hpp>
#include <vector>

#include "firmware/storage/audit.h"
#include "firmware/storage/kept_store.h"
#include "firmware/storage/record.h"
#include "sim/faults/torn_memory.h"

using namespace cornerbench;
using namespace cornerbench::storage;

// FORMAT.md, "Where things lie": numbers rise from one slot to the next, and by another 1000 with every
// start.

namespace {

constexpr hal::MemoryGeometry geometry{8, 4096, 2, 0xFF};
constexpr std::uint32_t record_units = 40;
/// Operations before the record of a start's third save: erase and its sync, three programs and their syncs
/// for each of two saves.
constexpr std::uint32_t before_third_record = 14;

Saving save(KeptStore& store, std::uint32_t number) {
    Kept kept = factory_kept();
    kept.calibrated = true;
    kept.calibration = {1.0e-4 * number, 6.0e7, 0.0};
    kept.calibration_changes = number;
    if (!store.start(kept)) return Saving::failed;
    for (int i = 0; i < 1000; ++i)
        if (const Saving saving = store.step(0); saving != Saving::under_way) return saving;
    return Saving::under_way;
}

/// Of every whole record in the memory.
std::vector<std::uint32_t> numbers_in(faults::TornMemory& memory) {
    const Slots slots(geometry);
    std::vector<std::uint32_t> numbers;
    for (std::uint32_t area = 0; area < Slots::areas; ++area)
        for (std::uint32_t i = 0; i < slots.in_area(); ++i) {
            Record record{};
            REQUIRE(memory.read(slots.block_of({area, i}), slots.record_at({area, i}), record) ==
                    hal::Answer::done);
            if (const auto decoded = decode(record)) numbers.push_back(decoded->number);
        }
    std::sort(numbers.begin(), numbers.end());
    return numbers;
}

}  // namespace

TEST_CASE("a record that turns up starts after its cut has a number that no other has", "[storage]") {
    faults::TornMemory memory(geometry);
    memory.start();
    memory.plan({before_third_record, record_units - 1, 0, faults::WeakReads::first_before}, 1);
    {
        KeptStore store(memory);
        Kept kept = factory_kept();
        REQUIRE(store.load(kept) == Loaded::never_set);
        REQUIRE(save(store, 1) == Saving::done);
        REQUIRE(save(store, 2) == Saving::done);
        REQUIRE(save(store, 3) == Saving::failed);
    }
    REQUIRE(memory.off());
    REQUIRE(memory.refusal().empty());

    memory.start();
    KeptStore store(memory);
    Kept kept = factory_kept();
    REQUIRE(store.load(kept) == Loaded::kept);
    CHECK(kept.calibration_changes == 2);
    const auto before = numbers_in(memory);
    REQUIRE(before.size() == 2);
    REQUIRE(save(store, 4) == Saving::done);
    const std::uint32_t fourth = numbers_in(memory).back();
    CHECK(fourth > before.back() + 1000);

    memory.start();
    const auto later = numbers_in(memory);
    // The torn one is whole now: the test is about something.
    REQUIRE(std::find(later.begin(), later.end(), before.back() + 1) != later.end());
    CHECK(std::adjacent_find(later.begin(), later.end()) == later.end());
    KeptStore last(memory);
    REQUIRE(last.load(kept) == Loaded::kept);
    CHECK(kept.calibration_changes == 4);
}
