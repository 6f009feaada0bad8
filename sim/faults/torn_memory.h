#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "hal/memory.h"

namespace cornerbench::faults {

/// How bits that a cut caught on their way read from then on, until they are erased.
enum class WeakReads : std::uint8_t {
    as_before,     ///< as if the operation had not touched them
    as_after,      ///< as if it had ended
    first_before,  ///< as before until the next start, as after from the second one on
    first_after,   ///< the other way round
    scattered      ///< every bit either way at every read
};

inline constexpr int weak_reads_count = 5;

/// One power cut, told so that it can be made again.
struct MemoryCut {
    /// Operations that end before it, counted from the cut before; the one after them is under way.
    std::uint32_t after = 0;
    /// Units of a program that are whole, the next one being torn, and as many as it has: all, unreported. Of
    /// an erase 0, 1, 2 or 3: nothing has come of it yet, half the block is on its way, all of it is, or all
    /// is erased and nobody was told. Of a sync nothing.
    std::uint32_t reached = 0;
    /// Bit i: the i-th operation since the last sync that ended well, and the one under way, is lost.
    std::uint32_t lost = 0;
    WeakReads reads = WeakReads::as_before;
};

/// A part that is worn.
struct MemoryWear {
    /// What a worn part does.
    enum class Kind : std::uint8_t {
        none,
        program_fails,  ///< half done, and the part says so
        erase_fails,    ///< half done, and the part says so
        sync_fails,     ///< nothing done, and the part says so
        bit_sticks      ///< a program ends well with its last bit as it was
    };
    Kind kind = Kind::none;
    std::uint32_t first = 0;  ///< operations of any kind before it begins
    std::uint32_t times = 1;  ///< operations of its kind that it hits
};

/// A memory of any geometry that is cut at a chosen moment. The fault model, all of it:
///
/// - A cut falls before, in the middle of or behind any program, erase or sync.
/// - A program under way is done up to some unit. The bits of that unit that had to change are weak: they
/// read
///   either way, at every read anew, until they are erased. Programmed over, they stay weak.
/// - An erase under way leaves any of its block's bits weak. So a block may read as erased that is not.
/// - What one cut has left weak keeps its own manner when another cut comes.
/// - Of what ended since the last sync any part may be lost at a cut, whatever came later.
/// - A worn part refuses a program, an erase or a sync and says so, or leaves a bit of a program unchanged
/// and
///   does not.
///
/// Not in it: bits that are not on their way and change all the same, reads that fail, a part that lies about
/// a sync. `refuses` says so; nothing is ignored.
class TornMemory final : public hal::Memory {
  public:
    /// The operations of a memory.
    enum class Kind : std::uint8_t { program, erase, sync };

    /// An operation that was started, for whoever looks for places to cut.
    struct Operation {
        Kind kind = Kind::sync;
        std::uint32_t units = 0;     ///< of a program
        std::uint32_t unsynced = 0;  ///< operations that a cut during it can lose, itself included
    };

    explicit TornMemory(const hal::MemoryGeometry& geometry);

    /// Why this part cannot be cut or worn like that, in words; empty when it can.
    static std::string refuses(const Operation& operation, const MemoryCut& cut);
    static std::string refuses(const MemoryWear& wear);

    hal::MemoryGeometry geometry() const override { return geometry_; }
    hal::Answer read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) override;
    hal::Answer start_program(std::uint32_t block, std::uint32_t offset,
                              std::span<const std::uint8_t> bytes) override;
    hal::Answer start_erase(std::uint32_t block) override;
    hal::Answer start_sync() override;
    /// Every operation ends with its first poll. Once power is gone everything is `failed`.
    hal::Answer poll(hal::Microseconds now) override;

    /// The next cut; its `seed` draws scattered bits.
    void plan(const MemoryCut& cut, std::uint64_t seed);
    void wear(const MemoryWear& wear) { wear_ = wear; }
    /// For showing that a check finds a part outside of the model: syncs end well and do nothing.
    void lie_about_syncs() { lies_ = true; }

    /// Whether the planned cut has come.
    bool off() const { return off_; }
    /// Why the planned cut could not be made; empty as long as it can.
    const std::string& refusal() const { return refusal_; }
    /// Power is back. Without a planned cut before, nothing was under way.
    void start();

    /// Operations since the last start.
    const std::vector<Operation>& operations() const { return operations_; }
    /// The bytes as read without a fault, block after block; for fixtures.
    std::vector<std::uint8_t> contents() const { return after_; }
    void fill(std::span<const std::uint8_t> bytes);

  private:
    /// An operation with what it writes.
    struct Change {
        Kind kind = Kind::sync;
        std::uint32_t place = 0;
        std::vector<std::uint8_t> bytes;  ///< of a program
    };

    std::uint32_t units_of(const Change& change) const;
    hal::Answer begin(Change change);
    /// Carries the first `units` of a change out, and leaves those from there to `weak_end` weak.
    void carry_out(const Change& change, std::uint32_t units, std::uint32_t weak_end);
    void set(std::uint32_t at, std::uint8_t value, bool weak);
    void make_cut();
    bool worn(Kind kind);
    std::uint8_t weak_byte(std::uint32_t at);

    /// What one cut has left behind.
    struct Left {
        WeakReads reads = WeakReads::as_before;
        int starts = 0;  ///< since then
    };

    hal::MemoryGeometry geometry_;
    // What a byte reads by its bits' one way and by their other; a bit is weak where they differ.
    std::vector<std::uint8_t> before_;
    std::vector<std::uint8_t> after_;
    // The same of what would be left by a cut that loses nothing but what is not synced.
    std::vector<std::uint8_t> synced_before_;
    std::vector<std::uint8_t> synced_after_;
    std::vector<Change> unsynced_;
    Change under_way_;
    bool busy_ = false;
    hal::Answer last_ = hal::Answer::done;
    std::vector<Operation> operations_;
    bool cut_planned_ = false;
    MemoryCut cut_;
    bool off_ = false;
    std::string refusal_;
    std::uint64_t random_ = 0;
    std::vector<Left> left_;             ///< by every cut so far
    std::vector<std::uint8_t> left_by_;  ///< which of them a weak byte comes from
    MemoryWear wear_;
    std::uint32_t begun_ = 0;
    bool lies_ = false;
};

}  // namespace cornerbench::faults
