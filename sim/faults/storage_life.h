#pragma once

#include <string>
#include <vector>

#include "sim/faults/kept_model.h"
#include "sim/faults/torn_memory.h"

namespace cornerbench::faults {

/// A memory, what was done with it, and what must be in it. A copy goes on from there by itself.
struct StorageLife {
    TornMemory memory;
    KeptModel model;
    int saves = 0;  ///< begun so far: each is of other contents
    bool worn = false;
    std::string violation;                      ///< the first rule broken
    std::vector<std::string>* story = nullptr;  ///< told as it goes where somebody listens

    explicit StorageLife(const hal::MemoryGeometry& geometry) : memory(geometry) {}

    /// Power on, what is there put in force, so many saves, power off; or until the cut comes.
    void power_on(int save_count, const MemoryCut* cut = nullptr);

  private:
    void tell(const std::string& words) const {
        if (story != nullptr) story->push_back(words);
    }
    void blame(const std::string& broken);
    bool put_in_force(storage::KeptStore& store);
    bool save(storage::KeptStore& store);
};

}  // namespace cornerbench::faults
