#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "firmware/console/modbus_request.h"
#include "firmware/console/register_map.h"

/// Modbus on a serial line, in its binary form (RTU): Modbus over Serial Line V1.02, 2.5.1 (from memory). The
/// requests are those of Modbus TCP, the registers too.
namespace cornerbench::console {

/// CRC-16/MODBUS: of "123456789" it is 4B37. Sent with its low byte first.
std::uint16_t crc16_modbus(std::span<const std::uint8_t> bytes);

inline constexpr std::size_t longest_rtu_frame = 256;
inline constexpr std::uint8_t rtu_broadcast = 0;

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

/// What stands between address and CRC, written byte by byte.
class RtuUnit {
  public:
    explicit RtuUnit(std::span<std::uint8_t> bytes) : bytes_(bytes) {}

    void put(unsigned byte) { bytes_[count_++] = static_cast<std::uint8_t>(byte); }
    void put_word(unsigned word) {
        put(word >> 8u);
        put(word & 0xFFu);
    }
    std::size_t count() const { return count_; }

  private:
    std::span<std::uint8_t> bytes_;
    std::size_t count_ = 0;
};

/// What a whole frame holds between address and CRC; empty when it is damaged, or for neither `address` nor
/// all.
std::span<const std::uint8_t> rtu_unit(std::span<const std::uint8_t> frame, std::uint8_t address);

/// Puts the CRC behind the first `count` bytes; returns how many there are then.
std::size_t close_rtu_frame(std::span<std::uint8_t, longest_rtu_frame> frame, std::size_t count);

/// One device on the line. `Registers` has the five questions of `RegisterMap`.
template <class Registers>
class ModbusRtuOn {
  public:
    /// `address` from 1 to 247; any other hears broadcasts alone.
    ModbusRtuOn(Registers& registers, std::uint8_t address) : registers_(registers), address_(address) {}

    /// Works one frame off and writes what is to be sent back; returns how many bytes. 0 is silence: a frame
    /// that is damaged or for somebody else, and a broadcast, which is carried out if it writes.
    std::size_t answer(std::span<const std::uint8_t> frame,
                       std::span<std::uint8_t, longest_rtu_frame> answer);

  private:
    std::size_t carry_out(std::span<const std::uint8_t> unit, std::span<std::uint8_t> answer);

    Registers& registers_;
    std::uint8_t address_ = 0;
};

using ModbusRtu = ModbusRtuOn<RegisterMap>;

template <class Registers>
std::size_t ModbusRtuOn<Registers>::answer(std::span<const std::uint8_t> frame,
                                           std::span<std::uint8_t, longest_rtu_frame> answer) {
    const std::span<const std::uint8_t> unit = rtu_unit(frame, address_);
    if (unit.empty()) return 0;
    answer[0] = frame[0];
    const std::size_t count = 1 + carry_out(unit, answer.subspan(1, longest_rtu_frame - 3));
    return frame[0] == rtu_broadcast ? 0 : close_rtu_frame(answer, count);
}

template <class Registers>
std::size_t ModbusRtuOn<Registers>::carry_out(std::span<const std::uint8_t> unit,
                                              std::span<std::uint8_t> answer) {
    constexpr std::size_t most_bits = 64;  // more than there are of any kind
    const ModbusRequest request = read_request(unit);
    const bool reads_bits = request.function == ModbusFunction::read_coils ||
                            request.function == ModbusFunction::read_discrete_inputs;
    const bool reads_registers = request.function == ModbusFunction::read_holding_registers ||
                                 request.function == ModbusFunction::read_input_registers;
    RtuUnit out(answer);
    out.put(unit[0]);
    auto exception = static_cast<Exception>(request.exception);
    if (exception == Exception::none && reads_bits) {
        std::array<bool, most_bits> bits{};
        const auto wanted = std::span(bits).first(std::min<std::size_t>(request.count, most_bits));
        if (request.count > most_bits)
            exception = Exception::illegal_address;
        else if (request.function == ModbusFunction::read_coils)
            exception = registers_.read_coils(request.first, wanted);
        else
            exception = registers_.read_discrete(request.first, wanted);
        const unsigned bytes = (request.count + 7u) / 8u;
        if (exception == Exception::none) out.put(bytes);
        for (unsigned i = 0; i < bytes && exception == Exception::none; ++i) {
            unsigned byte = 0;
            for (unsigned bit = 0; bit < 8 && 8 * i + bit < wanted.size(); ++bit)
                byte |= (wanted[8 * i + bit] ? 1u : 0u) << bit;
            out.put(byte);
        }
    } else if (exception == Exception::none && reads_registers) {
        std::array<std::uint16_t, 125> values{};
        const auto wanted = std::span(values).first(request.count);
        exception = registers_.read(request.first, wanted);
        if (exception == Exception::none) {
            out.put(2u * request.count);
            for (const std::uint16_t value : wanted) out.put_word(value);
        }
    } else if (exception == Exception::none) {
        const bool coil =
            request.function == ModbusFunction::write_coil || request.function == ModbusFunction::write_coils;
        // A key is pressed by a request of its own.
        if (coil && request.count != 1)
            exception = Exception::illegal_address;
        else if (coil)
            exception = registers_.write_coil(request.first, request.bits[0]).exception;
        else
            exception =
                registers_.write(request.first, std::span(request.registers).first(request.count)).exception;
        // Address, and value or count, as they came.
        for (std::size_t i = 1; i < 5 && exception == Exception::none; ++i) out.put(unit[i]);
    }
    if (exception == Exception::none) return out.count();
    answer[0] = static_cast<std::uint8_t>(unit[0] | 0x80u);
    answer[1] = static_cast<std::uint8_t>(exception);
    return 2;
}

}  // namespace cornerbench::console
