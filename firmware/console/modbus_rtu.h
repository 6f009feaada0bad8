#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "firmware/console/register_map.h"

/// Modbus on a serial line, in its binary form (RTU): Modbus over Serial Line V1.02, 2.5.1 (from memory). The
/// requests are those of Modbus TCP, the registers too.
namespace cornerbench::console {

/// CRC-16/MODBUS: of "123456789" it is 4B37. Sent with its low byte first.
std::uint16_t crc16_modbus(std::span<const std::uint8_t> bytes);

inline constexpr std::size_t longest_rtu_frame = 256;

/// Silence that ends a frame: 3.5 characters of 11 bits, above 19 200 baud 1750 us. In us.
constexpr std::int64_t rtu_silence_us(int baud) {
    return baud > 19'200 || baud <= 0 ? 1750 : 38'500'000 / baud;
}

/// Frames out of bytes and the time at which they came. State is plain.
class RtuFrames {
  public:
    explicit RtuFrames(std::int64_t silence_us) : silence_us_(silence_us) {}

    /// Bytes that came by `now_us`. Those behind a silence begin a new frame; a frame that was not taken
    /// before them is lost, as is one that grows too long.
    void came(std::span<const std::uint8_t> bytes, std::int64_t now_us);

    /// The frame that the silence until `now_us` has ended; empty when there is none. Taken with this call,
    /// valid until the next `came`.
    std::span<const std::uint8_t> take(std::int64_t now_us);

  private:
    std::int64_t silence_us_ = 0;
    std::int64_t last_us_ = 0;
    std::array<std::uint8_t, longest_rtu_frame> bytes_{};
    std::size_t count_ = 0;
    bool too_long_ = false;
};

/// One device on the line.
class ModbusRtu {
  public:
    /// `address` from 1 to 247; any other hears broadcasts alone.
    ModbusRtu(RegisterMap& registers, std::uint8_t address) : registers_(registers), address_(address) {}

    /// Works one frame off and writes what is to be sent back; returns how many bytes. 0 is silence: a frame
    /// that is damaged or for somebody else, and a broadcast, which is carried out if it writes.
    std::size_t answer(std::span<const std::uint8_t> frame,
                       std::span<std::uint8_t, longest_rtu_frame> answer);

  private:
    std::size_t carry_out(std::span<const std::uint8_t> unit, std::span<std::uint8_t> answer);

    RegisterMap& registers_;
    std::uint8_t address_ = 0;
};

}  // namespace cornerbench::console
