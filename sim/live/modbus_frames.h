#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

namespace cornerbench::live {

/// Sizes of Modbus TCP (MODBUS Messaging on TCP/IP Implementation Guide V1.0b, 3.1.3; from memory).
inline constexpr std::size_t modbus_header = 7;  ///< transaction, protocol, length, unit
inline constexpr std::size_t longest_modbus_frame = 260;

/// From a stream of bytes to frames, by the length that each has in its header.
class ModbusFrames {
  public:
    /// Room for what comes next; never empty unless `whole` or `broken`.
    std::span<std::uint8_t> room() { return std::span(bytes_).subspan(size_); }
    void came(std::size_t count) { size_ += count; }

    /// The header is none of Modbus, or gives a length that no frame has: where the next one begins cannot be
    /// told any more.
    bool broken() const;

    /// A frame stands at the beginning.
    bool whole() const { return size_ >= 6 && !broken() && size_ >= frame_size(); }
    std::span<const std::uint8_t> frame() const { return std::span(bytes_).first(frame_size()); }
    /// Goes on behind it.
    void next();

  private:
    std::size_t frame_size() const { return 6u + (std::size_t{bytes_[4]} << 8u) + bytes_[5]; }

    std::array<std::uint8_t, longest_modbus_frame> bytes_{};
    std::size_t size_ = 0;
};

}  // namespace cornerbench::live
