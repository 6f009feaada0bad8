#include "hal/cortex_m/flash_memory.h"

extern "C" std::uint8_t kept_begin;  ///< set by the linker script

namespace cornerbench::cortex_m {

namespace {

constexpr hal::MemoryGeometry the_geometry{.program_size = 8, .block_size = 2048, .block_count = 2};

bool within(std::uint32_t block, std::uint32_t offset, std::size_t size) {
    return block < the_geometry.block_count && offset <= the_geometry.block_size &&
           size <= the_geometry.block_size - offset;
}

// Volatile: the compiler must not take a region of flash for a single byte.
volatile std::uint8_t* place(std::uint32_t block, std::uint32_t offset) {
    return &kept_begin + block * the_geometry.block_size + offset;
}

}  // namespace

hal::MemoryGeometry FlashMemory::geometry() const {
    return the_geometry;
}

hal::Answer FlashMemory::read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) {
    if (under_way_) return hal::Answer::busy;
    if (!within(block, offset, bytes.size())) return hal::Answer::bad_argument;
    volatile std::uint8_t* from = place(block, offset);
    for (std::uint8_t& byte : bytes) byte = *from++;
    return hal::Answer::done;
}

hal::Answer FlashMemory::start_program(std::uint32_t block, std::uint32_t offset,
                                       std::span<const std::uint8_t> bytes) {
    if (under_way_) return hal::Answer::busy;
    const bool units =
        offset % the_geometry.program_size == 0 && bytes.size() % the_geometry.program_size == 0;
    if (bytes.empty() || !units || !within(block, offset, bytes.size())) return hal::Answer::bad_argument;
    volatile std::uint8_t* to = place(block, offset);
    for (const std::uint8_t byte : bytes) {
        *to = static_cast<std::uint8_t>(*to & byte);
        ++to;
    }
    under_way_ = true;
    return hal::Answer::done;
}

hal::Answer FlashMemory::start_erase(std::uint32_t block) {
    if (under_way_) return hal::Answer::busy;
    if (block >= the_geometry.block_count) return hal::Answer::bad_argument;
    for (std::uint32_t i = 0; i < the_geometry.block_size; ++i) *place(block, i) = 0xFF;
    under_way_ = true;
    return hal::Answer::done;
}

hal::Answer FlashMemory::start_sync() {
    if (under_way_) return hal::Answer::busy;
    under_way_ = true;
    return hal::Answer::done;
}

hal::Answer FlashMemory::poll(hal::Microseconds) {
    under_way_ = false;
    return hal::Answer::done;
}

}  // namespace cornerbench::cortex_m
