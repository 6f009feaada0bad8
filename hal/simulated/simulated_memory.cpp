#include "hal/simulated/simulated_memory.h"

#include <algorithm>

namespace cornerbench::hal {

namespace {

// The generator of Steele, Lea and Flood 2014 (SplitMix64): any seed is a good one.
std::uint64_t next_random(std::uint64_t& state) {
    state += 0x9E3779B97F4A7C15u;
    std::uint64_t z = state;
    z = (z ^ (z >> 30u)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27u)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31u);
}

std::uint32_t random_below(std::uint64_t& state, std::uint32_t bound) {
    return static_cast<std::uint32_t>(next_random(state) % bound);
}

}  // namespace

SimulatedMemory::SimulatedMemory(const SimulatedClock& clock, const MemoryGeometry& geometry,
                                 const MemoryTimes& times)
    : clock_(clock), geometry_(geometry), times_(times) {
    geometry_.program_size = std::clamp<std::uint32_t>(geometry.program_size, 1, capacity);
    geometry_.block_size = std::clamp<std::uint32_t>(geometry.block_size, geometry_.program_size, capacity);
    geometry_.block_size -= geometry_.block_size % geometry_.program_size;
    geometry_.block_count =
        std::clamp<std::uint32_t>(geometry.block_count, 1, capacity / geometry_.block_size);
    face_.fill(geometry_.erased_value);
    lasting_.fill(geometry_.erased_value);
}

Answer SimulatedMemory::read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) {
    if (block >= geometry_.block_count || offset > geometry_.block_size ||
        bytes.size() > geometry_.block_size - offset)
        return Answer::bad_argument;
    if (operation_ != MemoryOperation::none) return Answer::busy;
    if (block == unreadable_block_) return Answer::failed;
    std::copy_n(face_.begin() + block * geometry_.block_size + offset, bytes.size(), bytes.begin());
    return Answer::done;
}

Answer SimulatedMemory::start(MemoryOperation kind, Microseconds takes_us) {
    operation_ = kind;
    ends_us_ = clock_.time_us() + takes_us;
    ++started_;
    return Answer::done;
}

Answer SimulatedMemory::start_program(std::uint32_t block, std::uint32_t offset,
                                      std::span<const std::uint8_t> bytes) {
    const std::uint32_t unit = geometry_.program_size;
    if (block >= geometry_.block_count || offset > geometry_.block_size ||
        bytes.size() > geometry_.block_size - offset || bytes.size() > longest_program || bytes.empty() ||
        offset % unit != 0 || bytes.size() % unit != 0)
        return Answer::bad_argument;
    if (operation_ != MemoryOperation::none) return Answer::busy;
    place_ = block * geometry_.block_size + offset;
    size_ = static_cast<std::uint32_t>(bytes.size());
    std::copy(bytes.begin(), bytes.end(), programmed_.begin());
    return start(MemoryOperation::program, times_.program_unit_us * (size_ / unit));
}

Answer SimulatedMemory::start_erase(std::uint32_t block) {
    if (block >= geometry_.block_count) return Answer::bad_argument;
    if (operation_ != MemoryOperation::none) return Answer::busy;
    place_ = block * geometry_.block_size;
    size_ = geometry_.block_size;
    return start(MemoryOperation::erase, times_.erase_us);
}

Answer SimulatedMemory::start_sync() {
    if (operation_ != MemoryOperation::none) return Answer::busy;
    return start(MemoryOperation::sync, times_.sync_us);
}

Answer SimulatedMemory::poll(Microseconds now) {
    if (operation_ == MemoryOperation::none) return last_answer_;
    if (now < ends_us_) return Answer::busy;

    bool fails = false;
    if (operation_ == failing_) {
        fails = fail_after_ == 0 && fail_times_ > 0;
        if (fail_after_ > 0)
            --fail_after_;
        else if (fails)
            --fail_times_;
    }
    const std::uint32_t half = size_ / 2 - size_ / 2 % geometry_.program_size;
    if (operation_ == MemoryOperation::program) end_program(fails ? half : size_);
    if (operation_ == MemoryOperation::erase) end_erase(fails ? half : size_);
    if (operation_ == MemoryOperation::sync && !fails) {
        for (std::size_t i = 0; i < unsynced_count_; ++i) carry_out(lasting_, unsynced_[i]);
        unsynced_count_ = 0;
    }
    operation_ = MemoryOperation::none;
    last_answer_ = fails ? Answer::failed : Answer::done;
    return last_answer_;
}

void SimulatedMemory::end_program(std::uint32_t size) {
    for (std::uint32_t done = 0; done < size;) {
        Change part;
        part.place = place_ + done;
        part.size = std::min(size - done, static_cast<std::uint32_t>(part.bytes.size()));
        std::copy_n(programmed_.begin() + done, part.size, part.bytes.begin());
        change(part);
        done += part.size;
    }
}

void SimulatedMemory::end_erase(std::uint32_t size) {
    Change part;
    part.erase = true;
    part.place = place_;
    part.size = size;
    change(part);
}

void SimulatedMemory::change(const Change& change) {
    carry_out(face_, change);
    if (unsynced_count_ == unsynced_.size()) {
        carry_out(lasting_, unsynced_.front());
        std::copy(unsynced_.begin() + 1, unsynced_.end(), unsynced_.begin());
        --unsynced_count_;
    }
    unsynced_[unsynced_count_++] = change;
}

void SimulatedMemory::carry_out(Image& image, const Change& change) const {
    const std::uint8_t erased = geometry_.erased_value;
    for (std::uint32_t i = 0; i < change.size; ++i) {
        std::uint8_t& byte = image[change.place + i];
        byte = change.erase ? erased : programmed(byte, change.bytes[i], 0xFF);
    }
}

/// What a byte reads when `value` is programmed over it and only the bits of `reached` have come so far: bits
/// leave the erased state and do not come back.
std::uint8_t SimulatedMemory::programmed(std::uint8_t byte, std::uint8_t value, unsigned reached) const {
    const unsigned erased = geometry_.erased_value;
    return static_cast<std::uint8_t>(((byte ^ erased) | ((value ^ erased) & reached)) ^ erased);
}

std::uint8_t SimulatedMemory::erased_so_far(std::uint8_t byte, unsigned reached) const {
    const unsigned erased = geometry_.erased_value;
    return static_cast<std::uint8_t>(((byte ^ erased) & ~reached) ^ erased);
}

// Leaves the operation under way as far as it had come: not begun, or up to some unit all done and there any
// bits done.
void SimulatedMemory::tear(std::uint64_t& random) {
    const std::uint32_t unit = geometry_.program_size;
    const std::uint32_t reached_units = random_below(random, size_ / unit + 2);
    if (reached_units == 0) return;
    const std::uint32_t whole = (reached_units - 1) * unit;
    const std::uint32_t torn = std::min(whole + unit, size_);
    const bool erasing = operation_ == MemoryOperation::erase;
    for (std::uint32_t i = 0; i < torn; ++i) {
        std::uint8_t& byte = lasting_[place_ + i];
        const unsigned reached = i < whole ? 0xFFu : random_below(random, 256);
        byte = erasing ? erased_so_far(byte, reached) : programmed(byte, programmed_[i], reached);
    }
    // A cell array is erased all at once, so that a block is also found with bits set anywhere in it.
    if (!erasing || random_below(random, 2) == 0) return;
    for (std::uint32_t i = torn; i < size_; ++i) {
        std::uint8_t& byte = lasting_[place_ + i];
        byte = erased_so_far(byte, random_below(random, 256) & random_below(random, 256));
    }
}

void SimulatedMemory::cut_power(std::uint64_t seed) {
    std::uint64_t random = seed;
    while (unsynced_count_ > 0) {
        const std::uint32_t pick = random_below(random, static_cast<std::uint32_t>(unsynced_count_));
        if (random_below(random, 2) == 0) carry_out(lasting_, unsynced_[pick]);
        unsynced_[pick] = unsynced_[--unsynced_count_];
    }
    if (operation_ == MemoryOperation::program || operation_ == MemoryOperation::erase) tear(random);
    face_ = lasting_;
    operation_ = MemoryOperation::none;
    last_answer_ = Answer::done;
}

void SimulatedMemory::flip_bit(std::uint32_t place, int bit) {
    if (place >= bytes()) return;
    const auto mask = static_cast<std::uint8_t>(1u << (static_cast<unsigned>(bit) & 7u));
    face_[place] ^= mask;
    lasting_[place] ^= mask;
}

void SimulatedMemory::fail(MemoryOperation kind, int times, int after) {
    failing_ = kind;
    fail_times_ = times;
    fail_after_ = after;
}

}  // namespace cornerbench::hal
