#include "firmware/storage/crc32c.h"

#include <array>

namespace cornerbench::storage {

namespace {

constexpr std::uint32_t reversed_polynomial = 0x82F63B78u;

/// What four bits leave behind: 64 bytes of flash, where a table of whole bytes would cost a kilobyte.
constexpr std::array<std::uint32_t, 16> remainders = [] {
    std::array<std::uint32_t, 16> table{};
    for (std::uint32_t i = 0; i < table.size(); ++i) {
        std::uint32_t crc = i;
        for (int bit = 0; bit < 4; ++bit) crc = crc >> 1u ^ ((crc & 1u) != 0 ? reversed_polynomial : 0u);
        table[i] = crc;
    }
    return table;
}();

}  // namespace

std::uint32_t crc32c(std::span<const std::uint8_t> bytes) {
    std::uint32_t crc = 0xFFFF'FFFFu;
    for (const std::uint8_t byte : bytes) {
        crc ^= byte;
        crc = remainders[crc & 15u] ^ crc >> 4u;
        crc = remainders[crc & 15u] ^ crc >> 4u;
    }
    return ~crc;
}

}  // namespace cornerbench::storage
