#include "firmware/storage/kept_reader.h"

#include <algorithm>
#include <array>
#include <limits>

namespace cornerbench::storage {

namespace {

constexpr std::uint32_t no_limit = std::numeric_limits<std::uint32_t>::max();

/// One slot as it reads now.
struct Reading {
    bool readable = true;
    bool used = false;         ///< anything in it is not erased
    bool whole = false;        ///< the record is
    int closings = 0;          ///< closing marks that are whole
    std::uint32_t number = 0;  ///< of the record, or of a mark where the record is not whole
    bool numbered = false;
};

/// The newest of something with numbers.
struct Newest {
    bool any = false;
    std::uint32_t number = 0;
    Slot slot;
    int closings = 0;

    void take(const Slot& at, std::uint32_t its_number, int its_closings) {
        const bool newer = !any || its_number > number || (its_number == number && its_closings > closings);
        if (newer) *this = {true, its_number, at, its_closings};
    }
};

class Search {
  public:
    explicit Search(hal::Memory& memory)
        : memory_(memory), geometry_(memory.geometry()), slots_(memory.geometry()) {}

    Found run();

  private:
    bool erased(std::span<const std::uint8_t> bytes) const {
        const unsigned value = geometry_.erased_value;
        // Four at a time: at power-on this goes over all the memory there is.
        std::size_t i = 0;
        for (; i + 4 <= bytes.size(); i += 4)
            if (((bytes[i] ^ value) | (bytes[i + 1] ^ value) | (bytes[i + 2] ^ value) |
                 (bytes[i + 3] ^ value)) != 0)
                return false;
        for (; i < bytes.size(); ++i)
            if (bytes[i] != value) return false;
        return true;
    }
    bool read(std::uint32_t block, std::uint32_t offset, std::uint32_t size) {
        bytes_ = std::span(room_).first(size);
        return memory_.read(block, offset, bytes_) == hal::Answer::done;
    }
    void read_mark(const Slot& slot, MarkKind kind, std::uint32_t at, Reading& reading);
    Reading read(const Slot& slot);
    bool look_for_newer();
    bool look_through();
    Newest newest_below(std::uint32_t limit);
    Newest newest_of_first_version();
    Kept kept_in(const Slot& slot);
    void found_at(const Newest& newest, Loaded loaded);
    void salvage();

    hal::Memory& memory_;
    hal::MemoryGeometry geometry_;
    Slots slots_;
    std::array<std::uint8_t, Slots::most_record_room> room_{};
    std::span<std::uint8_t> bytes_;
    Found found_;
    bool any_used_ = false;
    bool any_newer_ = false;
    Newest newest_;                   ///< of all whole records
    std::uint32_t highest_lost_ = 0;  ///< number on a closing mark whose record is not whole
};

void Search::read_mark(const Slot& slot, MarkKind kind, std::uint32_t at, Reading& reading) {
    reading.readable = reading.readable && read(slots_.block_of(slot), at, slots_.mark_room());
    if (!reading.readable) return;
    reading.used = reading.used || !erased(bytes_);
    const auto number = decode_mark(kind, bytes_);
    if (!number || (reading.whole && *number != reading.number)) return;
    if (kind != MarkKind::opening) ++reading.closings;
    reading.number = std::max(*number, reading.number);
    reading.numbered = true;
}

Reading Search::read(const Slot& slot) {
    Reading reading;
    reading.readable = read(slots_.block_of(slot), slots_.record_at(slot), slots_.record_room());
    if (!reading.readable) return reading;
    reading.used = !erased(bytes_);
    if (const auto decoded = decode(bytes_.first(record_size))) {
        reading.whole = reading.numbered = true;
        reading.number = decoded->number;
    }
    read_mark(slot, MarkKind::opening, slots_.opening_at(slot), reading);
    for (const MarkKind kind : {MarkKind::first_closing, MarkKind::last_closing})
        read_mark(slot, kind, slots_.closing_at(slot, kind), reading);
    return reading;
}

/// Of a version whose slots are not known, the first record of a block is where it always was.
bool Search::look_for_newer() {
    const std::uint32_t at = slots_.mark_room();
    const std::uint32_t size = std::min(Slots::most_record_room, geometry_.block_size - at);
    for (std::uint32_t block = 0; block < geometry_.block_count; ++block) {
        if (!read(block, at, mark_size)) return false;
        if (erased(bytes_)) continue;
        if (!read(block, at, size)) return false;
        any_newer_ = any_newer_ || is_of_newer_version(bytes_);
    }
    return true;
}

/// Notes all that needs no choice; false when a part cannot be read.
bool Search::look_through() {
    for (std::uint32_t area = 0; area < Slots::areas; ++area)
        for (std::uint32_t i = 0; i < slots_.in_area(); ++i) {
            const Reading reading = read(Slot{area, i});
            if (!reading.readable) return false;
            any_used_ = any_used_ || reading.used;
            if (reading.whole) newest_.take({area, i}, reading.number, reading.closings);
            if (reading.numbered) found_.highest = std::max(found_.highest, reading.number);
            if (!reading.whole && reading.closings > 0)
                highest_lost_ = std::max(highest_lost_, reading.number);
        }
    return true;
}

/// The newest whole record with a number of less than `limit`; of two with one number the closed one.
Newest Search::newest_below(std::uint32_t limit) {
    Newest newest;
    for (std::uint32_t area = 0; area < Slots::areas; ++area)
        for (std::uint32_t i = 0; i < slots_.in_area(); ++i) {
            const Reading reading = read(Slot{area, i});
            if (reading.whole && reading.number < limit)
                newest.take({area, i}, reading.number, reading.closings);
        }
    return newest;
}

/// Version 1 put its records one behind another into the first two blocks, without marks. Its slots are
/// counted here from 0 in its blocks.
Newest Search::newest_of_first_version() {
    Newest newest;
    for (std::uint32_t block = 0; block < 2; ++block)
        for (std::uint32_t i = 0; (i + 1) * first_record_size <= geometry_.block_size; ++i) {
            if (!read(block, i * first_record_size, first_record_size)) continue;
            if (const auto decoded = decode_first(bytes_)) newest.take({block, i}, decoded->number, 0);
        }
    return newest;
}

/// A new box's where it does not read again as it just did.
Kept Search::kept_in(const Slot& slot) {
    const bool first_version = found_.loaded == Loaded::older;
    const bool readable = first_version ? read(slot.area, slot.index * first_record_size, first_record_size)
                                        : read(slots_.block_of(slot), slots_.record_at(slot), record_size);
    if (const auto decoded = first_version ? decode_first(bytes_) : decode(bytes_); readable && decoded)
        return decoded->kept;
    found_.loaded = Loaded::damaged;
    return factory_kept();
}

void Search::found_at(const Newest& newest, Loaded loaded) {
    found_.loaded = loaded;
    found_.kept = kept_in(newest.slot);
    found_.slot = newest.slot;
    found_.highest = std::max(found_.highest, newest.number);
    if (loaded == Loaded::older) found_.slot = {newest.slot.area / slots_.blocks(), 0};
    if (loaded != Loaded::in_doubt) return;
    for (std::uint32_t i = 0; i < slots_.in_area(); ++i)
        if (read(Slot{newest.slot.area, i}).used) found_.used = i + 1;
}

/// Whatever was lost took at least one save for each change it counted.
void Search::salvage() {
    found_.loaded = Loaded::damaged;
    const std::uint32_t lost = found_.highest - (newest_.any ? newest_.number : 0);
    if (newest_.any) {
        const Kept rest = kept_in(newest_.slot);
        found_.kept.calibration_changes = rest.calibration_changes;
        found_.kept.configuration_changes = rest.configuration_changes;
        found_.slot = newest_.slot;
    }
    for (std::uint32_t* changes : {&found_.kept.calibration_changes, &found_.kept.configuration_changes})
        *changes = *changes > no_limit - lost ? no_limit : *changes + lost;
}

Found Search::run() {
    found_.kept = factory_kept();
    if (!slots_.usable() || !look_for_newer() || !look_through()) return found_;
    if (any_newer_) {
        found_.loaded = Loaded::newer;
        return found_;
    }
    // A record without a closing mark was never told to be kept: it may be half there, and read as whole now
    // and not the next time. One with both is certain. With the first alone it is, and its mark may not be.
    Newest newest = newest_;
    bool in_doubt = false;
    while (newest.any && newest.closings == 0) {
        in_doubt = true;
        newest = newest_below(newest.number);
    }
    in_doubt = in_doubt || newest.closings == 1;
    if (highest_lost_ != 0 && (!newest.any || highest_lost_ > newest.number)) {
        salvage();
        return found_;
    }
    if (newest.any) {
        found_at(newest, in_doubt ? Loaded::in_doubt : Loaded::kept);
        return found_;
    }
    if (!any_used_) {
        found_.loaded = Loaded::never_set;
        return found_;
    }
    if (const Newest first = newest_of_first_version(); first.any) {
        found_at(first, Loaded::older);
        return found_;
    }
    found_.loaded = Loaded::damaged;
    return found_;
}

}  // namespace

Found find_kept(hal::Memory& memory) {
    return Search(memory).run();
}

}  // namespace cornerbench::storage
