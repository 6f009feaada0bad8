#pragma once

#include <cstdint>

#include "firmware/storage/record.h"
#include "hal/memory.h"

/// Where records lie in a memory of any geometry.
namespace cornerbench::storage {

/// A place for one record with its marks, in one of the two areas.
struct Slot {
    std::uint32_t area = 0;
    std::uint32_t index = 0;  ///< from 0 in its area
};

/// Two areas of as many whole blocks each; in every block whole slots, one behind the other: opening mark,
/// record, first and last closing mark, each in program units of its own.
class Slots {
  public:
    static constexpr std::uint32_t areas = 2;
    static constexpr std::uint32_t longest_unit = 256;  ///< a part that programs more at once is not used
    /// A record in whole program units of every size up to the longest.
    static constexpr std::uint32_t most_record_room = 512;
    /// Slots at an area's end that only a start after a cut may use.
    static constexpr std::uint32_t kept_free = 3;

    explicit Slots(const hal::MemoryGeometry& geometry) : geometry_(geometry) {}

    /// Whether a memory of this geometry has room for records; nothing below is meant otherwise.
    bool usable() const {
        return geometry_.program_size >= 1 && geometry_.program_size <= longest_unit &&
               geometry_.block_count >= areas && in_area() > kept_free;
    }

    /// Bytes that a mark, a record and a whole slot take, in whole program units.
    std::uint32_t mark_room() const { return whole_units(mark_size); }
    std::uint32_t record_room() const { return whole_units(record_size); }
    std::uint32_t size() const { return 3 * mark_room() + record_room(); }
    /// Slots in a block.
    std::uint32_t in_block() const { return geometry_.block_size / size(); }
    std::uint32_t blocks() const { return geometry_.block_count / areas; }  ///< of an area
    std::uint32_t in_area() const { return blocks() * in_block(); }

    /// The block that a slot lies in, and in it the bytes from which its marks and its record start.
    std::uint32_t block_of(const Slot& slot) const { return slot.area * blocks() + slot.index / in_block(); }
    std::uint32_t opening_at(const Slot& slot) const { return slot.index % in_block() * size(); }
    std::uint32_t record_at(const Slot& slot) const { return opening_at(slot) + mark_room(); }
    std::uint32_t closing_at(const Slot& slot, MarkKind kind) const {
        const std::uint32_t first = record_at(slot) + record_room();
        return kind == MarkKind::last_closing ? first + mark_room() : first;
    }

  private:
    std::uint32_t whole_units(std::size_t size) const {
        const std::uint32_t unit = geometry_.program_size;
        return (static_cast<std::uint32_t>(size) + unit - 1) / unit * unit;
    }

    hal::MemoryGeometry geometry_;
};

}  // namespace cornerbench::storage
