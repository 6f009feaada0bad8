#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <vector>

#include "firmware/console/modbus_rtu.h"
#include "tests/console/fake_instrument.h"

namespace {

void require(bool kept, const char* promise) {
    if (kept) return;
    std::fprintf(stderr, "%s\n", promise);
    std::abort();
}

}  // namespace

/// Any bytes on a serial line, as they are and with a right CRC: an answer is a frame of this device with a
/// right CRC, or there is none.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace cornerbench::console;
    testing::FakeInstrument instrument;
    RegisterMap registers(instrument);
    ModbusRtu device(registers, 1);
    std::array<std::uint8_t, longest_rtu_frame> answer{};
    const auto check = [&](std::span<const std::uint8_t> frame) {
        const std::size_t count = device.answer(frame, answer);
        if (count == 0) return;
        require(count >= 5 && count <= longest_rtu_frame, "a frame's size");
        require(answer[0] == 1, "its own address");
        const auto body = std::span<const std::uint8_t>(answer).first(count - 2);
        require(crc16_modbus(body) == (answer[count - 2] | answer[count - 1] << 8), "a right CRC");
    };
    RtuFrames frames(1750);
    std::span<const std::uint8_t> rest(data, size);
    std::int64_t now_us = 0;
    while (!rest.empty()) {
        const std::size_t piece = std::min<std::size_t>(rest.size(), 1 + rest[0] % 64u);
        now_us += rest[0] % 2 == 0 ? 100 : 2000;
        frames.came(rest.first(piece), now_us);
        rest = rest.subspan(piece);
        check(frames.take(now_us + rest.size() % 3000));
    }
    std::vector<std::uint8_t> whole(data, data + std::min<std::size_t>(size, longest_rtu_frame - 2));
    const std::uint16_t crc = crc16_modbus(whole);
    whole.push_back(static_cast<std::uint8_t>(crc & 0xFF));
    whole.push_back(static_cast<std::uint8_t>(crc >> 8));
    check(whole);
    return 0;
}
