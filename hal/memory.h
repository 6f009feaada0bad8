#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

#include "hal/answer.h"

namespace cornerbench::hal {

/// Sizes in bytes; blocks are all of one size.
struct MemoryGeometry {
    std::uint32_t program_size = 8;   ///< programs start and end on multiples of it
    std::uint32_t block_size = 4096;  ///< what one erase clears; a multiple of program_size
    std::uint32_t block_count = 2;
    std::uint8_t erased_value = 0xFF;  ///< what every byte of an erased block reads

    friend bool operator==(const MemoryGeometry&, const MemoryGeometry&) = default;
};

/// Memory that keeps its contents without power, with the manners of NOR flash.
///
/// One operation at a time is started and then polled until it is no longer `busy`; only a poll ends it, and
/// its answer stays until the next one is started. Until then everything but `poll` is `busy`. After a power
/// cut none is under way. Promised: an erased byte reads `erased_value`; after `sync` has ended with `done`,
/// everything that ended before it stays over a power cut. Not promised: that a program or an erase that was
/// under way at a power cut happened, did not happen or reads the same twice; that operations not yet synced
/// were carried out in their order; that a unit programmed twice without an erase holds either value.
class Memory {
  public:
    virtual MemoryGeometry geometry() const = 0;

    /// Fills `bytes` from `offset` in `block`. `busy` while an operation is under way, `failed` when the part
    /// reports the bytes unreadable.
    virtual Answer read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) = 0;

    /// Starts to program `bytes`, whole units of program_size, at least one. They are copied before the call
    /// returns. A part may refuse more than 4096 bytes at once as a `bad_argument`.
    virtual Answer start_program(std::uint32_t block, std::uint32_t offset,
                                 std::span<const std::uint8_t> bytes) = 0;

    /// Starts to erase a whole block.
    virtual Answer start_erase(std::uint32_t block) = 0;

    /// Starts to make everything done so far last.
    virtual Answer start_sync() = 0;

    /// How the operation started last stands at `now`: `busy`, `done` or `failed`. `done` when there was
    /// none since power-on.
    virtual Answer poll(Microseconds now) = 0;

  protected:
    ~Memory() = default;
};

}  // namespace cornerbench::hal
