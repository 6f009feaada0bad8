#include <algorithm>
#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "firmware/console/modbus_rtu.h"
#include "tests/console/fake_instrument.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using namespace cornerbench::console;
using cornerbench::console::testing::FakeInstrument;

namespace {

using Bytes = std::vector<std::uint8_t>;

Bytes with_crc(Bytes bytes) {
    const std::uint16_t crc = crc16_modbus(bytes);
    bytes.push_back(static_cast<std::uint8_t>(crc & 0xFF));
    bytes.push_back(static_cast<std::uint8_t>(crc >> 8));
    return bytes;
}

struct Device {
    FakeInstrument instrument;
    RegisterMap registers{instrument};
    ModbusRtu rtu{registers, 17};

    Bytes ask_frame(const Bytes& frame) {
        std::array<std::uint8_t, longest_rtu_frame> answer{};
        const std::size_t count = rtu.answer(frame, answer);
        return {answer.begin(), answer.begin() + static_cast<std::ptrdiff_t>(count)};
    }
    /// Without address and CRC, which are looked at here.
    Bytes ask(const Bytes& unit) {
        Bytes frame{17};
        frame.insert(frame.end(), unit.begin(), unit.end());
        const Bytes answer = ask_frame(with_crc(frame));
        if (answer.size() < 4) return {};
        CHECK(answer[0] == 17);
        CHECK(with_crc({answer.begin(), answer.end() - 2}) == answer);
        return {answer.begin() + 1, answer.end() - 2};
    }
};

}  // namespace

TEST_CASE("CRC-16/MODBUS has its published check value", "[modbus]") {
    // "123456789": 0x4B37, as catalogues of CRCs have it.
    const std::string digits = "123456789";
    CHECK(crc16_modbus({reinterpret_cast<const std::uint8_t*>(digits.data()), digits.size()}) == 0x4B37);
    // Modbus over Serial Line V1.02, 6.2.2, the worked example: 02 07 goes out with 41 12 behind it (from
    // memory).
    CHECK(with_crc({0x02, 0x07}) == Bytes{0x02, 0x07, 0x41, 0x12});
}

TEST_CASE("registers are read and written in RTU frames", "[modbus]") {
    Device device;
    // Application protocol V1.1b3, 6.3: function, count of bytes, values (from memory); register 0 is the
    // version of the map, 1.
    CHECK(device.ask({0x03, 0x00, 0x00, 0x00, 0x01}) == Bytes{0x03, 0x02, 0x00, 0x01});
    CHECK(device.ask({0x04, 0x00, 0x00, 0x00, 0x01}) == Bytes{0x04, 0x02, 0x00, 0x01});
    // 6.5 and 6.12: a write is answered with its address and its value, or its count.
    CHECK(device.ask({0x05, 0x00, 0x00, 0x00, 0x00}) == Bytes{0x05, 0x00, 0x00, 0x00, 0x00});
    CHECK(device.ask({0x10, 0x02, 0x02, 0x00, 0x02, 0x04, 0x00, 0x00, 0x00, 0x00}) ==
          Bytes{0x10, 0x02, 0x02, 0x00, 0x02});
    CHECK(device.ask({0x02, 0x00, 0x00, 0x00, 0x0A}).size() == 4);
    CHECK(device.ask({0x01, 0x00, 0x00, 0x00, 0x03}) == Bytes{0x01, 0x01, 0x00});
}

TEST_CASE("what cannot be done is answered with the exceptions of the application protocol", "[modbus]") {
    // V1.1b3, 7 (from memory): 1 illegal function, 2 illegal data address, 3 illegal data value.
    Device device;
    CHECK(device.ask({0x2B, 0x0E, 0x01, 0x00}) == Bytes{0xAB, 0x01});
    CHECK(device.ask({0x03, 0x7F, 0xFF, 0x00, 0x01}) == Bytes{0x83, 0x02});
    CHECK(device.ask({0x03, 0x00, 0x00, 0x00, 0x00}) == Bytes{0x83, 0x03});
    CHECK(device.ask({0x03, 0x00, 0x00, 0x00, 0x7E}) == Bytes{0x83, 0x03});
    CHECK(device.ask({0x03, 0x00, 0x00}) == Bytes{0x83, 0x03});
    CHECK(device.ask({0x05, 0x00, 0x00, 0x12, 0x34}) == Bytes{0x85, 0x03});
    CHECK(device.ask({0x0F, 0x00, 0x00, 0x00, 0x02, 0x01, 0x03}) == Bytes{0x8F, 0x02});
    CHECK(device.ask({0x02, 0x00, 0x00, 0x07, 0xD0}) == Bytes{0x82, 0x02});
}

TEST_CASE("a frame that is damaged or for somebody else is answered with silence", "[modbus]") {
    Device device;
    const Bytes good = with_crc({17, 0x03, 0x00, 0x00, 0x00, 0x01});
    REQUIRE(device.ask_frame(good).size() == 7);
    for (std::size_t i = 0; i < good.size(); ++i)
        for (int bit = 0; bit < 8; ++bit) {
            Bytes bad = good;
            bad[i] = static_cast<std::uint8_t>(bad[i] ^ 1 << bit);
            CHECK(device.ask_frame(bad).empty());
        }
    CHECK(device.ask_frame(with_crc({18, 0x03, 0x00, 0x00, 0x00, 0x01})).empty());
    CHECK(device.ask_frame({17, 3}).empty());
    CHECK(device.ask_frame({}).empty());
    // A broadcast is carried out and not answered (Modbus over Serial Line V1.02, 2.1, from memory).
    CHECK(device.ask_frame(with_crc({0, 0x05, 0x00, 0x04, 0xFF, 0x00})).empty());
    CHECK(device.instrument.corners_forgotten == 1);
}

TEST_CASE("silence ends a frame, and a gap within one breaks it", "[modbus]") {
    CHECK(rtu_silence_us(9600) == 4010);
    CHECK(rtu_silence_us(115'200) == 1750);
    RtuFrames frames(1750);
    const Bytes first{1, 2, 3};
    frames.came(first, 10'000);
    CHECK(frames.take(11'000).empty());
    frames.came(Bytes{4}, 11'500);
    CHECK(frames.take(13'200).empty());
    const auto frame = frames.take(13'250);
    CHECK(Bytes(frame.begin(), frame.end()) == Bytes{1, 2, 3, 4});
    CHECK(frames.take(20'000).empty());
    // What was not taken in time is lost to what comes behind the silence.
    frames.came(first, 30'000);
    frames.came(Bytes{9}, 40'000);
    const auto second = frames.take(50'000);
    CHECK(Bytes(second.begin(), second.end()) == Bytes{9});
    frames.came(Bytes(200, 7), 60'000);
    frames.came(Bytes(57, 7), 60'100);
    CHECK(frames.take(70'000).empty());
    frames.came(first, 80'000);
    CHECK(frames.take(90'000).size() == 3);
}
