#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "hal/memory.h"
#include "sim/faults/torn_memory.h"

/// The real store on a memory that is cut at every moment there is, beside a model of what must be found.
namespace cornerbench::faults {

/// How often power comes and goes before the cut, and how much is saved each time.
struct StorageHistory {
    std::string words;
    std::vector<int> saves;  ///< in each start, one after the other; the first cut comes in the last of them
    bool first_version = false;  ///< an older firmware's records are found at the first start
};

/// A memory of one geometry, and how it is called.
struct StoragePlace {
    hal::MemoryGeometry geometry;
    std::string words;
    bool in_pairs = false;  ///< small enough for every pair of cuts
};

std::span<const StoragePlace> storage_places();
std::span<const StorageHistory> storage_histories();

/// One run of the trial. As a word: place.history, each cut as after.reached.lost.reads, and a worn part
/// as wKind.first.times, joined by '-': "1.2-17.5.0.3-9.1.0.4".
struct StorageCase {
    std::uint32_t place = 0;
    std::uint32_t history = 0;
    std::vector<MemoryCut> cuts;
    MemoryWear wear;
};

std::string id_of(const StorageCase& one);
/// None, and why in `error`, when the word means no case.
std::optional<StorageCase> case_of(const std::string& id, std::string& error);

/// What came of one run: a broken rule, a refused fault, or neither.
struct StorageOutcome {
    std::string violation;  ///< empty: every rule held
    std::string refusal;    ///< empty: every fault asked for is in the model
    std::vector<std::string> story;
};

/// `lying_part`: its syncs do nothing, which is outside of the model.
StorageOutcome run_case(const StorageCase& one, bool lying_part = false);

/// What came of many runs.
struct StorageTally {
    std::uint64_t cuts = 0;               ///< single cuts tried
    std::uint64_t pairs = 0;              ///< pairs of cuts tried
    std::uint64_t triples = 0;            ///< three cuts in a row tried
    std::uint64_t worn = 0;               ///< worn parts tried, cut or not
    std::vector<std::string> failed;      ///< ids, at most twenty
    std::vector<std::string> violations;  ///< what each of them broke
    std::uint64_t failures = 0;
};

/// How much is tried in one place.
struct StorageTrial {
    bool pairs = true;
    std::uint32_t every = 1;  ///< of the pairs only every so many
    /// Three cuts in a row that are drawn by `seed`, each from all that there are where it comes: trying
    /// every one would take days.
    std::uint32_t triples = 0;
    std::uint64_t seed = 1;
    bool lying_part = false;  ///< to show that the trial finds what is wrong
};

/// Every cut of every operation in one place.
StorageTally try_cuts(std::uint32_t place, const StorageTrial& trial);

}  // namespace cornerbench::faults
