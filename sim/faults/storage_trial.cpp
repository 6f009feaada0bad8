#include "sim/faults/storage_trial.h"

#include <algorithm>
#include <array>

#include "firmware/storage/crc32c.h"
#include "firmware/storage/record.h"
#include "sim/faults/storage_life.h"
#include "sim/field/random_source.h"

namespace cornerbench::faults {

namespace {

/// Saves in the start after a cut.
constexpr int saves_after = 2;
constexpr std::size_t most_ids = 20;
/// More operations than this are never left unsynced by a sound store.
constexpr std::uint32_t most_unsynced = 4;

/// As version 1 wrote it: what both versions have, its number, its own seal.
std::vector<std::uint8_t> first_version_image(const storage::Kept& kept) {
    const storage::Record record = storage::encode(kept, 1);
    std::vector<std::uint8_t> bytes(record.begin(), record.begin() + storage::first_record_size);
    std::fill(bytes.begin() + 248, bytes.end(), std::uint8_t{0});
    bytes[4] = 1;
    bytes[6] = bytes[7] = 0;
    const std::uint32_t crc = storage::crc32c(std::span(bytes).first(252));
    for (std::size_t i = 0; i < 4; ++i) bytes[252 + i] = static_cast<std::uint8_t>(crc >> (8 * i));
    return bytes;
}

storage::Kept of_first_version() {
    storage::Kept kept = storage::factory_kept();
    kept.calibrated = true;
    kept.calibration = {2.0e-4, 5.0e7, 0.0};
    kept.calibration_changes = 3;
    return kept;
}

StorageLife new_life(const StorageCase& one, bool lying_part) {
    StorageLife life(storage_places()[one.place].geometry);
    if (storage_histories()[one.history].first_version) {
        life.memory.fill(first_version_image(of_first_version()));
        life.model = KeptModel(of_first_version());
    }
    life.memory.wear(one.wear);
    life.worn = one.wear.kind != MemoryWear::Kind::none;
    if (lying_part) life.memory.lie_about_syncs();
    return life;
}

/// Starts without a cut until the last one of the history.
void live_up_to_cut(StorageLife& life, const StorageHistory& history) {
    for (std::size_t i = 0; i + 1 < history.saves.size(); ++i) life.power_on(history.saves[i]);
}

/// What everybody sees after the cuts: the same at every start, and a box that still keeps.
void live_on(StorageLife& life) {
    for (int start = 0; start < 3; ++start) life.power_on(0);
    life.power_on(1);
    life.power_on(0);
}

/// Calls `take` with every cut that `operations` offer.
template <class Take>
void every_cut(std::span<const TornMemory::Operation> operations, const Take& take) {
    for (std::size_t i = 0; i < operations.size(); ++i) {
        const TornMemory::Operation& operation = operations[i];
        const bool erase = operation.kind == TornMemory::Kind::erase;
        const std::uint32_t most_reached = operation.kind == TornMemory::Kind::program ? operation.units
                                           : erase                                     ? 3
                                                                                       : 0;
        for (std::uint32_t reached = 0; reached <= most_reached; ++reached) {
            const bool weak =
                operation.kind != TornMemory::Kind::sync && reached < most_reached && (!erase || reached > 0);
            const std::uint32_t losses = 1u << std::min(operation.unsynced, most_unsynced);
            for (std::uint32_t lost = 0; lost < losses; ++lost)
                for (int reads = 0; reads < (weak ? weak_reads_count : 1); ++reads)
                    take(MemoryCut{static_cast<std::uint32_t>(i), reached, lost,
                                   static_cast<WeakReads>(reads)});
        }
    }
}

/// Every operation as likely as any other, then every cut of it: few fall into marks, and those matter.
MemoryCut drawn_cut(const std::vector<TornMemory::Operation>& operations, field::RandomSource& random) {
    const auto one = static_cast<std::size_t>(random.index(static_cast<int>(operations.size())));
    std::vector<MemoryCut> cuts;
    every_cut({&operations[one], 1}, [&cuts](const MemoryCut& cut) { cuts.push_back(cut); });
    MemoryCut drawn = cuts[static_cast<std::size_t>(random.index(static_cast<int>(cuts.size())))];
    drawn.after = static_cast<std::uint32_t>(one);
    return drawn;
}

class Trial {
  public:
    Trial(std::uint32_t place, const StorageTrial& settings) : settings_(settings) { one_.place = place; }

    StorageTally run() {
        const bool in_pairs = settings_.pairs && storage_places()[one_.place].in_pairs;
        for (std::uint32_t h = 0; h < storage_histories().size(); ++h) {
            one_.history = h;
            try_history(in_pairs);
        }
        if (in_pairs) try_worn();
        for (std::uint32_t i = 0; i < settings_.triples; ++i) try_triple(i);
        return tally_;
    }

  private:
    void note(const StorageLife& life) {
        if (life.violation.empty()) return;
        ++tally_.failures;
        if (tally_.failed.size() >= most_ids) return;
        tally_.failed.push_back(id_of(one_));
        tally_.violations.push_back(life.violation);
    }

    void try_history(bool in_pairs) {
        const StorageHistory& history = storage_histories()[one_.history];
        StorageLife before = new_life(one_, settings_.lying_part);
        live_up_to_cut(before, history);
        StorageLife whole = before;
        whole.power_on(history.saves.back());
        note(whole);
        every_cut(whole.memory.operations(), [&](const MemoryCut& cut) {
            one_.cuts = {cut};
            StorageLife life = before;
            life.power_on(history.saves.back(), &cut);
            const StorageLife cut_once = life;
            life.power_on(saves_after);
            const std::vector<TornMemory::Operation> next = life.memory.operations();
            live_on(life);
            ++tally_.cuts;
            note(life);
            if (in_pairs) try_second(cut_once, next);
        });
        one_.cuts.clear();
    }

    void try_second(const StorageLife& cut_once, const std::vector<TornMemory::Operation>& operations) {
        const std::vector<MemoryCut> first = one_.cuts;
        every_cut(operations, [&](const MemoryCut& cut) {
            if (++pair_ % settings_.every != 0) return;
            one_.cuts = {first.front(), cut};
            StorageLife life = cut_once;
            life.power_on(saves_after, &cut);
            live_on(life);
            ++tally_.pairs;
            note(life);
        });
        one_.cuts = first;
    }

    /// Worn from any operation on, for once, a while or good; without a cut and with every single one.
    void try_worn() {
        one_.history = 0;
        const StorageHistory& history = storage_histories()[one_.history];
        for (unsigned kind = 1; kind <= static_cast<unsigned>(MemoryWear::Kind::bit_sticks); ++kind)
            for (std::uint32_t first = 0; first < 24; first += 3)
                for (const std::uint32_t times : {1u, 5u, 100'000u}) {
                    one_.wear = {static_cast<MemoryWear::Kind>(kind), first, times};
                    StorageLife whole = new_life(one_, settings_.lying_part);
                    live_up_to_cut(whole, history);
                    const StorageLife before = whole;
                    whole.power_on(history.saves.back());
                    const std::vector<TornMemory::Operation> operations = whole.memory.operations();
                    live_on(whole);
                    ++tally_.worn;
                    note(whole);
                    every_cut(operations, [&](const MemoryCut& cut) {
                        if (++pair_ % settings_.every != 0) return;
                        one_.cuts = {cut};
                        StorageLife life = before;
                        life.power_on(history.saves.back(), &cut);
                        life.power_on(saves_after);
                        live_on(life);
                        ++tally_.worn;
                        note(life);
                    });
                    one_.cuts.clear();
                }
        one_.wear = {};
    }

    /// A cut, a start with another one, a start with a third.
    void try_triple(std::uint32_t number) {
        field::RandomSource random(settings_.seed, number);
        one_.history = static_cast<std::uint32_t>(random.index(static_cast<int>(storage_histories().size())));
        const StorageHistory& history = storage_histories()[one_.history];
        StorageLife life = new_life(one_, settings_.lying_part);
        live_up_to_cut(life, history);
        int saves = history.saves.back();
        for (int i = 0; i < 3; ++i) {
            StorageLife whole = life;
            whole.power_on(saves);
            if (whole.memory.operations().empty()) break;
            one_.cuts.push_back(drawn_cut(whole.memory.operations(), random));
            life.power_on(saves, &one_.cuts.back());
            saves = saves_after;
        }
        live_on(life);
        ++tally_.triples;
        note(life);
        one_.cuts.clear();
    }

    StorageTrial settings_;
    StorageCase one_;
    StorageTally tally_;
    std::uint64_t pair_ = 0;
};

}  // namespace

std::span<const StoragePlace> storage_places() {
    static const std::array<StoragePlace, 6> places{{
        {{8, 4096, 2, 0xFF}, "2 blocks of 4096, units of 8", false},
        {{64, 2048, 2, 0xFF}, "2 blocks of 2048, units of 64", true},
        {{64, 1024, 5, 0xFF}, "5 blocks of 1024, units of 64", true},
        {{256, 2048, 8, 0xFF}, "8 blocks of 2048, units of 256", false},
        {{1, 2048, 2, 0x00}, "2 blocks of 2048, units of 1, erased to 0", false},
        // The one in which a large unit is torn in an area that takes several saves.
        {{64, 4096, 2, 0xFF}, "2 blocks of 4096, units of 64", true},
    }};
    return places;
}

std::span<const StorageHistory> storage_histories() {
    static const std::array<StorageHistory, 5> histories{{
        {"a new box, then saved to in one go", {5}, false},
        {"switched off after every save", {1, 1, 1, 2}, false},
        {"saved to until both areas were full", {19, 3}, false},
        {"an older firmware's records", {2}, true},
        {"the same, taken over and saved to", {0, 1, 2}, true},
    }};
    return histories;
}

StorageTally try_cuts(std::uint32_t place, const StorageTrial& trial) {
    return Trial(place, trial).run();
}

StorageOutcome run_case(const StorageCase& one, bool lying_part) {
    StorageOutcome outcome;
    outcome.refusal = TornMemory::refuses(one.wear);
    if (!outcome.refusal.empty()) return outcome;
    StorageLife life = new_life(one, lying_part);
    life.story = &outcome.story;
    const StorageHistory& history = storage_histories()[one.history];
    live_up_to_cut(life, history);
    int saves = history.saves.back();
    for (const MemoryCut& cut : one.cuts) {
        life.power_on(saves, &cut);
        if (!life.memory.off()) outcome.refusal = "there are not so many operations before the next cut";
        if (!life.memory.refusal().empty()) outcome.refusal = life.memory.refusal();
        if (!outcome.refusal.empty()) return outcome;
        outcome.story.emplace_back("power cut");
        saves = saves_after;
    }
    // Behind several cuts nothing is saved before everybody has looked: it would hide what they left.
    if (one.cuts.size() < 2) life.power_on(saves);
    live_on(life);
    outcome.violation = life.violation;
    return outcome;
}

}  // namespace cornerbench::faults
