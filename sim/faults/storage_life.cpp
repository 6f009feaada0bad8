#include "sim/faults/storage_life.h"

#include <array>

#include "firmware/storage/audit.h"

namespace cornerbench::faults {

namespace {

/// More steps than any save takes that ends.
constexpr int most_steps = 100'000;

storage::Saving finish(storage::KeptStore& store) {
    for (int i = 0; i < most_steps; ++i)
        if (const storage::Saving saving = store.step(0); saving != storage::Saving::under_way) return saving;
    return storage::Saving::under_way;
}

/// The next of several kinds of change, none like another.
storage::Kept changed(storage::Kept kept, int number) {
    switch (number % 4) {
        case 0:
            kept.calibrated = true;
            kept.calibration = {1.0e-4 + 1.0e-6 * number, 6.0e7 + number, 0.0};
            kept.corner_gain[static_cast<std::size_t>(number / 4) % kept.corner_gain.size()] =
                1.0 + 0.0001 * number;
            kept.calibration_changes = storage::counted(kept.calibration_changes);
            break;
        case 1:
            kept.zero_known = true;
            kept.zero_offset_kg = -0.5 * number;
            kept.zero_lost = number % 8 == 1;
            break;
        case 2:
            kept.unit =
                kept.unit == scale::MassUnit::kilogram ? scale::MassUnit::tonne : scale::MassUnit::kilogram;
            kept.configuration_changes = storage::counted(kept.configuration_changes);
            break;
        default:
            kept.last_reading = {
                true, static_cast<std::uint32_t>(number), 1000 + number, 0, 1000 + number, 0, kept.unit};
            break;
    }
    return kept;
}

const char* words(storage::Loaded loaded) {
    constexpr std::array names{"kept",    "in doubt", "of version 1", "never set",
                               "damaged", "newer",    "unreadable"};
    return names.at(static_cast<std::size_t>(loaded));
}

}  // namespace

void StorageLife::blame(const std::string& broken) {
    if (broken.empty()) return;
    tell("BROKEN: " + broken);
    if (violation.empty()) violation = broken;
}

/// False when nothing more can be done in this start.
bool StorageLife::put_in_force(storage::KeptStore& store) {
    storage::Kept kept = storage::factory_kept();
    const storage::Loaded loaded = store.load(kept);
    tell(std::string("power on, memory: ") + words(loaded));
    bool in_force = loaded == storage::Loaded::kept;
    if (loaded == storage::Loaded::in_doubt || loaded == storage::Loaded::older) {
        const storage::Saving saving = store.start_settling() ? finish(store) : storage::Saving::failed;
        if (memory.off()) return false;
        in_force = saving == storage::Saving::done;
        tell(in_force ? "settled" : "not settled");
    }
    if (memory.off()) return false;
    if (in_force)
        blame(model.in_force(kept));
    else
        blame(model.nothing_in_force(loaded, worn));
    return in_force || !storage::is_found(loaded);
}

/// False when the cut came.
bool StorageLife::save(storage::KeptStore& store) {
    const storage::Kept kept = changed(model.now(), saves++);
    if (!store.start(kept)) {
        if (!memory.off() && !worn) blame("a save was not even begun");
        return !memory.off();
    }
    model.began(kept);
    const storage::Saving saving = finish(store);
    if (memory.off()) {
        tell("save " + std::to_string(saves) + ": cut");
        return false;
    }
    tell("save " + std::to_string(saves) + (saving == storage::Saving::done ? ": kept" : ": refused"));
    if (saving == storage::Saving::done)
        model.told_kept();
    else if (!worn || saving == storage::Saving::under_way)
        blame("a sound part's save failed");
    return true;
}

void StorageLife::power_on(int save_count, const MemoryCut* cut) {
    memory.start();
    if (cut != nullptr) memory.plan(*cut, 1000003u * cut->after + 17u * cut->reached + cut->lost);
    storage::KeptStore store(memory);
    if (!put_in_force(store)) return;
    for (int i = 0; i < save_count && save(store); ++i) {
    }
}

}  // namespace cornerbench::faults
