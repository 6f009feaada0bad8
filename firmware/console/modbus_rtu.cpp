#include "firmware/console/modbus_rtu.h"

#include <algorithm>

namespace cornerbench::console {

namespace {

constexpr std::size_t shortest_frame = 4;  ///< address, function, CRC

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

std::span<const std::uint8_t> rtu_unit(std::span<const std::uint8_t> frame, std::uint8_t address) {
    if (frame.size() < shortest_frame || frame.size() > longest_rtu_frame) return {};
    const std::span<const std::uint8_t> checked = frame.first(frame.size() - 2);
    const unsigned crc = frame[frame.size() - 2] | static_cast<unsigned>(frame[frame.size() - 1]) << 8u;
    if (crc16_modbus(checked) != crc || (frame[0] != address && frame[0] != rtu_broadcast)) return {};
    return checked.subspan(1);
}

std::size_t close_rtu_frame(std::span<std::uint8_t, longest_rtu_frame> frame, std::size_t count) {
    const unsigned crc = crc16_modbus(frame.first(count));
    frame[count] = static_cast<std::uint8_t>(crc & 0xFFu);
    frame[count + 1] = static_cast<std::uint8_t>(crc >> 8u);
    return count + 2;
}

}  // namespace cornerbench::console
