#pragma once

#include <cstdint>

#include "firmware/storage/kept_reader.h"
#include "firmware/storage/slots.h"

/// Records one behind another in two areas of a memory, so that one whole record always stands.
namespace cornerbench::storage {

/// How a save stands.
enum class Saving : std::uint8_t { idle, under_way, done, failed };

/// A record is written behind the newest one, then closed by two marks, each synced before the next is begun;
/// when the area is full, and with the first save after a start, the other area is erased and takes it. What
/// may be trusted never lies in what is being erased or programmed: a cut leaves the old record or the new
/// one, and whichever the next start finds stays. FORMAT.md has the bytes and every outcome.
class KeptStore {
  public:
    explicit KeptStore(hal::Memory& memory) : memory_(memory), slots_(memory.geometry()) {}

    /// Looks through the memory. To be called once, before anything else and with no operation under way.
    Loaded load(Kept& kept);

    /// Starts to write once more what `load` found `in_doubt` or `older`: not to be in force until that is
    /// done. False when there is nothing to settle.
    [[nodiscard]] bool start_settling();

    /// Starts to save `kept`. False while another save is under way, before what is in doubt is settled, and
    /// when it may not follow what is kept (audit.h).
    [[nodiscard]] bool start(const Kept& kept);

    /// Goes on with a save. `done` and `failed` are told once, then it is `idle` again. After `failed` the
    /// next start finds what was kept before, or the new record.
    Saving step(std::int64_t now_us);

    bool saving() const { return stage_ != Stage::idle; }

  private:
    /// The steps of a save, in this order; erasing only where the other area takes the record.
    enum class Stage : std::uint8_t { idle, choose, erase, open, write, close, close_last };
    /// What has to be done before the next save is an ordinary one.
    enum class Duty : std::uint8_t { none, nothing_kept, settle, migrate, barred };

    bool begin(const Kept& kept);
    void choose();
    void erase_next();
    void go_to(Stage stage);
    void next_operation();
    void operation_ended(bool well);
    bool reads_back();
    void attempt_failed();
    void end(bool well);

    hal::Memory& memory_;
    Slots slots_;
    Stage stage_ = Stage::idle;
    Duty duty_ = Duty::barred;
    bool syncing_ = false;
    bool failed_ = false;
    bool appendable_ = false;  ///< what lies behind `next_` was erased since the start and not begun
    bool settling_ = false;
    int tries_ = 0;
    Kept kept_;  ///< by the memory, as far as it was told to be kept
    Kept coming_;
    std::uint32_t number_ = 0;  ///< highest on anything
    std::uint32_t kept_area_ = 1;
    Slot next_;
    std::uint32_t erased_blocks_ = 0;
    std::uint32_t place_block_ = 0;  ///< of the program under way
    std::uint32_t place_offset_ = 0;
    std::uint32_t place_size_ = 0;
    std::array<std::uint8_t, Slots::most_record_room> bytes_{};
};

}  // namespace cornerbench::storage
