#include "firmware/storage/crc32c.h"

namespace cornerbench::storage {

std::uint32_t crc32c(std::span<const std::uint8_t> bytes) {
    // Bit by bit: records are short and written seldom, a table would cost a kilobyte of flash.
    constexpr std::uint32_t reversed_polynomial = 0x82F63B78u;
    std::uint32_t crc = 0xFFFF'FFFFu;
    for (const std::uint8_t byte : bytes) {
        crc ^= byte;
        for (int bit = 0; bit < 8; ++bit) crc = crc >> 1u ^ ((crc & 1u) != 0 ? reversed_polynomial : 0u);
    }
    return ~crc;
}

}  // namespace cornerbench::storage
