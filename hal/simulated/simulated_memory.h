#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "hal/memory.h"
#include "hal/simulated/simulated_clock.h"

namespace cornerbench::hal {

/// How long operations take.
struct MemoryTimes {
    Microseconds program_unit_us = 20;  ///< for each unit of program_size
    Microseconds erase_us = 25'000;
    Microseconds sync_us = 100;
};

/// Operations of a memory that take time.
enum class MemoryOperation : std::uint8_t { none, program, erase, sync };

/// Memory with the manners of NOR flash that fails as asked.
///
/// Modelled: programs take bits out of the erased state only; an erase takes a block's back; operations take
/// their time; behind the part's face a write cache of `unsynced_capacity` entries (longer programs take
/// several), the oldest of which become lasting when it is full. At a power cut the operation under way stops
/// at any point, a unit or a block half done, and of the unsynced entries any may be lost and the rest
/// carried out in any order; the seed decides. Not modelled: wear that comes by itself, bits that fade,
/// disturbed neighbours, a torn unit that reads differently each time; `faults::TornMemory` has the last one,
/// and every cut in its turn.
class SimulatedMemory final : public Memory {
  public:
    static constexpr std::uint32_t capacity = 65'536;     ///< bytes of all blocks together
    static constexpr std::size_t longest_program = 4096;  ///< bytes; a longer one is `bad_argument`
    static constexpr std::size_t unsynced_capacity = 64;

    /// A geometry that does not fit is cut down to as many blocks as do; `geometry()` tells.
    explicit SimulatedMemory(const SimulatedClock& clock, const MemoryGeometry& geometry = {},
                             const MemoryTimes& times = {});

    MemoryGeometry geometry() const override { return geometry_; }
    Answer read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) override;
    Answer start_program(std::uint32_t block, std::uint32_t offset,
                         std::span<const std::uint8_t> bytes) override;
    Answer start_erase(std::uint32_t block) override;
    Answer start_sync() override;
    Answer poll(Microseconds now) override;

    /// The supply is gone at once. What is left stays in this object for the next start; one seed, one
    /// outcome.
    void cut_power(std::uint64_t seed);

    /// After `after` more operations of this kind the next `times` fail, half done.
    void fail(MemoryOperation kind, int times = 1, int after = 0);

    /// Reads that touch this block fail.
    void make_unreadable(std::uint32_t block) { unreadable_block_ = block; }

    /// A bit changes by itself, long after it was written. `place` counts bytes over all blocks; one beyond
    /// them changes nothing.
    void flip_bit(std::uint32_t place, int bit);

    MemoryOperation under_way() const { return operation_; }

    /// Operations of every kind started since it was made: where a test may cut next.
    std::uint64_t started() const { return started_; }

    /// The bytes as a reader would see them, block after block.
    std::span<const std::uint8_t> contents() const { return {face_.data(), bytes()}; }

  private:
    using Image = std::array<std::uint8_t, capacity>;

    /// A program or an erase that has ended and is not lasting yet; a longer program takes several.
    struct Change {
        bool erase = false;
        std::uint32_t place = 0;  ///< bytes from the start of the image
        std::uint32_t size = 0;
        std::array<std::uint8_t, 64> bytes{};
    };

    std::uint32_t bytes() const { return geometry_.block_size * geometry_.block_count; }
    Answer start(MemoryOperation kind, Microseconds takes_us);
    void end_program(std::uint32_t size);
    void end_erase(std::uint32_t size);
    void change(const Change& change);
    void tear(std::uint64_t& random);
    void carry_out(Image& image, const Change& change) const;
    std::uint8_t programmed(std::uint8_t byte, std::uint8_t value, unsigned reached) const;
    std::uint8_t erased_so_far(std::uint8_t byte, unsigned reached) const;

    const SimulatedClock& clock_;
    MemoryGeometry geometry_;
    MemoryTimes times_;
    Image face_{};     ///< what a reader sees
    Image lasting_{};  ///< what stays whatever happens
    std::array<Change, unsynced_capacity> unsynced_{};
    std::size_t unsynced_count_ = 0;

    MemoryOperation operation_ = MemoryOperation::none;
    Answer last_answer_ = Answer::done;
    Microseconds ends_us_ = 0;
    std::uint32_t place_ = 0;
    std::uint32_t size_ = 0;
    std::array<std::uint8_t, longest_program> programmed_{};

    MemoryOperation failing_ = MemoryOperation::none;
    int fail_after_ = 0;
    int fail_times_ = 0;
    std::uint32_t unreadable_block_ = ~std::uint32_t{0};
    std::uint64_t started_ = 0;
};

}  // namespace cornerbench::hal
