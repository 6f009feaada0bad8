#pragma once

#include <cstdint>
#include <span>

namespace cornerbench::storage {

/// CRC-32C (Castagnoli; RFC 3720, appendix B.4): of "123456789" 0xE3069283.
std::uint32_t crc32c(std::span<const std::uint8_t> bytes);

}  // namespace cornerbench::storage
