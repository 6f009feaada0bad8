#include "firmware/console/modbus_rtu.h"

#include <algorithm>

#include "firmware/console/modbus_request.h"

namespace cornerbench::console {

namespace {

constexpr std::size_t shortest_frame = 4;  ///< address, function, CRC
constexpr std::uint8_t broadcast = 0;
constexpr std::size_t most_bits = 64;  ///< more than there are of any kind

/// Writes a unit byte by byte.
class Unit {
  public:
    explicit Unit(std::span<std::uint8_t> bytes) : bytes_(bytes) {}

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

bool reads_bits(ModbusFunction function) {
    return function == ModbusFunction::read_coils || function == ModbusFunction::read_discrete_inputs;
}

bool reads_registers(ModbusFunction function) {
    return function == ModbusFunction::read_holding_registers ||
           function == ModbusFunction::read_input_registers;
}

}  // namespace

std::uint16_t crc16_modbus(std::span<const std::uint8_t> bytes) {
    unsigned crc = 0xFFFFu;
    for (const std::uint8_t byte : bytes) {
        crc ^= byte;
        for (int bit = 0; bit < 8; ++bit) crc = (crc & 1u) != 0 ? crc >> 1u ^ 0xA001u : crc >> 1u;
    }
    return static_cast<std::uint16_t>(crc);
}

void RtuFrames::came(std::span<const std::uint8_t> bytes, std::int64_t now_us) {
    if (bytes.empty()) return;
    if (now_us - last_us_ >= silence_us_) {
        count_ = 0;
        too_long_ = false;
    }
    last_us_ = now_us;
    const std::size_t room = bytes_.size() - count_;
    too_long_ = too_long_ || bytes.size() > room;
    std::copy_n(bytes.begin(), std::min(bytes.size(), room), bytes_.begin() + count_);
    count_ += std::min(bytes.size(), room);
}

std::span<const std::uint8_t> RtuFrames::take(std::int64_t now_us) {
    if (count_ == 0 || now_us - last_us_ < silence_us_) return {};
    const std::size_t count = too_long_ ? 0 : count_;
    count_ = 0;
    too_long_ = false;
    return std::span<const std::uint8_t>(bytes_).first(count);
}

std::size_t ModbusRtu::answer(std::span<const std::uint8_t> frame,
                              std::span<std::uint8_t, longest_rtu_frame> answer) {
    if (frame.size() < shortest_frame || frame.size() > longest_rtu_frame) return 0;
    const std::span<const std::uint8_t> checked = frame.first(frame.size() - 2);
    const unsigned crc = frame[frame.size() - 2] | static_cast<unsigned>(frame[frame.size() - 1]) << 8u;
    if (crc16_modbus(checked) != crc) return 0;
    if (frame[0] != address_ && frame[0] != broadcast) return 0;
    answer[0] = frame[0];
    const std::size_t count = 1 + carry_out(checked.subspan(1), answer.subspan(1, longest_rtu_frame - 3));
    if (frame[0] == broadcast) return 0;
    const unsigned own_crc = crc16_modbus(answer.first(count));
    answer[count] = static_cast<std::uint8_t>(own_crc & 0xFFu);
    answer[count + 1] = static_cast<std::uint8_t>(own_crc >> 8u);
    return count + 2;
}

std::size_t ModbusRtu::carry_out(std::span<const std::uint8_t> unit, std::span<std::uint8_t> answer) {
    const ModbusRequest request = read_request(unit);
    Unit out(answer);
    out.put(unit[0]);
    auto exception = static_cast<Exception>(request.exception);
    if (exception == Exception::none && reads_bits(request.function)) {
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
    } else if (exception == Exception::none && reads_registers(request.function)) {
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
