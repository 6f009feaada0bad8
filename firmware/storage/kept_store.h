#pragma once

#include <cstdint>

#include "firmware/storage/kept.h"
#include "hal/memory.h"

/// Records one behind another in two blocks of a memory, so that one whole record always stands.
namespace cornerbench::storage {

enum class Loaded : std::uint8_t {
    kept,       ///< the newest whole record
    never_set,  ///< both blocks are erased
    damaged,    ///< something was written and nothing of it is whole
    unreadable  ///< the memory failed, or is too small for two records in two blocks
};

enum class Saving : std::uint8_t { idle, under_way, done, failed };

/// A record is written behind the newest one; when the block is full, the other block is erased and takes it.
/// The newest whole record lies outside of what is being erased or programmed at any moment: a cut leaves the
/// old record or the new one.
class KeptStore {
  public:
    explicit KeptStore(hal::Memory& memory) : memory_(memory) {}

    /// Reads every record there is. To be called once, before anything else and with no operation under way.
    Loaded load(Kept& kept);

    /// Starts to save `kept`; false while another save is under way.
    [[nodiscard]] bool start(const Kept& kept);

    /// Goes on with a save. `done` and `failed` are told once, then it is `idle` again. After `failed` the
    /// memory holds what it held before, or the new record, whole either way.
    Saving step(std::int64_t now_us);

    bool saving() const { return stage_ != Stage::idle; }

  private:
    enum class Stage : std::uint8_t { idle, find_room, erasing, programming, syncing };

    std::uint32_t slots_per_block() const { return memory_.geometry().block_size / record_size; }
    bool usable() const;
    void find_room();
    void give_up();
    Saving ended();

    hal::Memory& memory_;
    Stage stage_ = Stage::idle;
    Record record_{};
    std::uint32_t number_ = 0;  ///< of the newest record
    std::uint32_t block_ = 0;   ///< where the next one goes
    std::uint32_t slot_ = 0;
    std::uint32_t newest_block_ = 0;
    int tries_ = 0;
    bool failed_ = false;
};

}  // namespace cornerbench::storage
