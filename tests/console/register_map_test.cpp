#include "firmware/console/register_map.h"

#include <array>
#include <bit>
#include <catch2/catch.hpp>
#include <random>
#include <set>
#include <vector>

#include "firmware/console/status_registers.h"
#include "tests/console/fake_instrument.h"

using namespace cornerbench;
using namespace cornerbench::console;
using testing::FakeInstrument;

namespace {

struct Registers {
    FakeInstrument instrument;
    RegisterMap map{instrument};

    std::vector<std::uint16_t> read(int first, int count) {
        std::vector<std::uint16_t> values(static_cast<std::size_t>(count));
        REQUIRE(map.read(static_cast<std::uint16_t>(first), values) == Exception::none);
        return values;
    }
    std::uint32_t two(int first) {
        const auto words = read(first, 2);
        return static_cast<std::uint32_t>(words[0]) << 16 | words[1];
    }
    float single(int first) { return std::bit_cast<float>(two(first)); }
    Written write(int first, std::vector<std::uint16_t> values) {
        return map.write(static_cast<std::uint16_t>(first), values);
    }
};

std::array<std::uint16_t, 2> words(float value) {
    const auto bits = std::bit_cast<std::uint32_t>(value);
    return {static_cast<std::uint16_t>(bits >> 16), static_cast<std::uint16_t>(bits)};
}

}  // namespace

TEST_CASE("Weights lie in two registers, the upper word first", "[console]") {
    Registers registers;
    registers.instrument.weigh(-142000, 3);
    registers.instrument.now.unit = scale::MassUnit::tonne;
    CHECK(registers.read(4, 4) == std::vector<std::uint16_t>{1, 3, 0xFFFD, 0xD550});  // -142000 is FFFDD550
    CHECK(registers.read(7, 1) == std::vector<std::uint16_t>{0xD550});
    CHECK(registers.read(1, 3) == std::vector<std::uint16_t>{1, 0, 0});
    registers.instrument.lose(weighing::NoWeight::saturated, 2);
    CHECK(registers.read(1, 3) == std::vector<std::uint16_t>{0, 2, 3});
    for (const int address : {6, 8, 10}) CHECK(registers.two(address) == 0x80000000u);
    registers.instrument.weigh(1ll << 40, 0);
    CHECK(registers.two(6) == 0x80000000u);
}

TEST_CASE("Ratios are single precision numbers", "[console]") {
    // IEEE 754: 1.0 is 3F800000.
    Registers registers;
    CHECK(registers.two(96) == 0x3F800000u);
    CHECK(registers.single(64) == 1.0e-3F);
    CHECK(registers.single(66) == -2.5e-4F);
    CHECK(registers.two(70) == 0x7FC00000u);  // has none now
    CHECK(registers.two(72) == 0x7FC00000u);  // no such channel
    CHECK(registers.single(22) == 60000.0F);
    registers.instrument.ratios[0] = 1.0e300;
    CHECK(registers.two(64) == 0x7F7FFFFFu);
}

TEST_CASE("Whatever one request reads is of one readout", "[console]") {
    Registers registers;
    registers.instrument.moving = true;
    for (int i = 0; i < 100; ++i) {
        const auto block = registers.read(0, 64);
        const auto two = [&block](std::size_t at) {
            return static_cast<std::uint32_t>(block[at]) << 16 | block[at + 1];
        };
        const std::uint32_t number = two(16);
        CHECK(two(6) == number);
        CHECK(two(8) == number);
        CHECK(two(18 + 2) == number);
    }
    CHECK(registers.two(16) != registers.two(16));
}

TEST_CASE("A block is the same as its registers one by one, in every place", "[console]") {
    Registers registers;
    registers.instrument.report.count = 2;
    registers.instrument.report.findings[0] = {
        diagnosis::CornerFindingKind::rubbing, {scale::SiteKind::support, 3, 0}, {0.01, 0.001}, 9.5, {}, 0.0};
    registers.instrument.report.findings[1].kind = diagnosis::CornerFindingKind::all_corners_off;
    const auto all = registers.read(0, registers_end);
    std::mt19937 random(3);
    for (int i = 0; i < 2000; ++i) {
        const int first = static_cast<int>(random() % registers_end);
        const int count = 1 + static_cast<int>(random() % static_cast<unsigned>(registers_end - first));
        const auto block = registers.read(first, count);
        REQUIRE(std::equal(block.begin(), block.end(), all.begin() + first));
    }
    CHECK(all[130] == 2);
    CHECK(all[144] == 4);
    CHECK(all[145] == static_cast<int>(scale::SiteKind::support));
    CHECK(all[146] == 4);
    CHECK(registers.single(148) == 0.01F);
    CHECK(registers.single(150) == 9.5F);
    CHECK(all[152] == 9);
    CHECK(all[160] == 0);
    CHECK(registers.two(164) == 0x7FC00000u);
}

TEST_CASE("The corner check is made only for who asks for it", "[console]") {
    Registers registers;
    (void)registers.read(0, 128);
    CHECK(registers.instrument.corner_checks == 0);
    (void)registers.read(0, 129);
    CHECK(registers.instrument.corner_checks == 1);
}

TEST_CASE("Entries of the map do not overlap", "[console]") {
    std::set<int> taken;
    for (const Register& entry : readable_registers())
        for (int i = 0; i < entry.times; ++i)
            for (int word = 0; word < words_of(entry.coding); ++word) {
                const int address = entry.address + i * entry.stride + word;
                INFO(entry.name << " at " << address);
                CHECK(taken.insert(address).second);
                CHECK(address < registers_end);
            }
}

TEST_CASE("What lies outside of the map is an illegal address", "[console]") {
    // Modbus application protocol V1.1b3, 7: exception 2 (from memory).
    Registers registers;
    std::vector<std::uint16_t> one(1);
    std::vector<std::uint16_t> many(125);
    CHECK(registers.map.read(registers_end, one) == Exception::illegal_address);
    CHECK(registers.map.read(65535, one) == Exception::illegal_address);
    CHECK(registers.map.read(65535, many) == Exception::illegal_address);
    CHECK(registers.map.read(registers_end - 124, many) == Exception::illegal_address);
    CHECK(registers.map.read(registers_end - 125, many) == Exception::none);
    CHECK(registers.map.read(0, {}) == Exception::illegal_address);
    std::array<bool, 33> bits{};
    CHECK(registers.map.read_discrete(0, std::span(bits).first(32)) == Exception::none);
    CHECK(registers.map.read_discrete(1, std::span(bits).first(32)) == Exception::illegal_address);
    CHECK(registers.map.read_discrete(0, bits) == Exception::illegal_address);
    CHECK(registers.map.read_coils(0, std::span(bits).first(5)) == Exception::none);
    CHECK(registers.map.read_coils(4, std::span(bits).first(2)) == Exception::illegal_address);
}

TEST_CASE("Bits are those of the status registers", "[console]") {
    Registers registers;
    registers.instrument.open_seal = true;
    registers.instrument.lose(weighing::NoWeight::over_range);
    std::array<bool, 32> bits{};
    REQUIRE(registers.map.read_discrete(0, bits) == Exception::none);
    for (std::size_t i = 0; i < bits.size(); ++i) {
        INFO(i);
        CHECK(bits[i] == (i == 12 || i == 16 + 9 || i == 16 + 10));
    }
    CHECK(registers.read(13, 2) == std::vector<std::uint16_t>{1u << 12, 1u << 9 | 1u << 10});
}

TEST_CASE("Keys are pressed by register and by coil", "[console]") {
    Registers registers;
    CHECK(registers.write(512, {1}).exception == Exception::none);
    CHECK(registers.map.write_coil(0, true).exception == Exception::none);
    CHECK(registers.map.write_coil(0, false).exception == Exception::none);
    CHECK(registers.instrument.zeros == 2);
    CHECK(registers.write(512, {2}).exception == Exception::none);
    CHECK(registers.instrument.tares == 1);
    CHECK(registers.map.write_coil(2, true).exception == Exception::none);
    CHECK(registers.instrument.tare_clears == 1);
    CHECK(registers.write(512, {4}).exception == Exception::none);
    CHECK(registers.instrument.corners_empty == 1);
    CHECK(registers.map.write_coil(4, true).exception == Exception::none);
    CHECK(registers.instrument.corners_forgotten == 1);
    CHECK(registers.write(513, {2}).exception == Exception::none);
    CHECK(registers.instrument.now.unit == scale::MassUnit::pound);
    const auto mass = words(1250.5F);
    CHECK(registers.write(514, {mass[0], mass[1]}).exception == Exception::none);
    CHECK(registers.instrument.preset_kg == 1250.5);
    CHECK(registers.write(516, {4, mass[0], mass[1]}).exception == Exception::none);
    CHECK(registers.instrument.last_support == 3);
    CHECK(registers.instrument.last_mass_kg == 1250.5);
}

TEST_CASE("A write that is refused says why, and its exception what to do", "[console]") {
    // Modbus application protocol V1.1b3, 7 (from memory).
    Registers registers;
    registers.instrument.key_answer = Refusal::not_stable;
    CHECK(registers.write(512, {1}).exception == Exception::device_busy);
    CHECK(registers.read(42, 1)[0] == static_cast<int>(Refusal::not_stable));
    registers.instrument.key_answer = Refusal::not_positive;
    CHECK(registers.write(512, {2}).exception == Exception::illegal_value);
    registers.instrument.key_answer = Refusal::none;
    CHECK(registers.write(512, {6}).exception == Exception::illegal_value);
    CHECK(registers.write(512, {65535}).exception == Exception::illegal_value);
    CHECK(registers.write(513, {3}).exception == Exception::illegal_value);
    CHECK(registers.write(514, {0x7FC0, 0}).exception == Exception::illegal_value);
    CHECK(registers.write(514, {0xBF80, 0}).exception == Exception::illegal_value);
    CHECK(registers.write(514, {0x7F80, 0}).exception == Exception::illegal_value);
    CHECK(registers.write(516, {0, 0x3F80, 0}).exception == Exception::illegal_value);
    CHECK(registers.write(516, {5, 0x3F80, 0}).exception == Exception::illegal_value);
    CHECK(registers.write(516, {1, 0x0000, 0}).exception == Exception::illegal_value);
    // Half a value, two values, no value, read-only.
    CHECK(registers.write(514, {0x3F80}).exception == Exception::illegal_address);
    CHECK(registers.write(512, {1, 1}).exception == Exception::illegal_address);
    CHECK(registers.write(515, {0}).exception == Exception::illegal_address);
    CHECK(registers.write(0, {0}).exception == Exception::illegal_address);
    CHECK(registers.write(512, {}).exception == Exception::illegal_address);
    CHECK(registers.map.write_coil(5, true).exception == Exception::illegal_address);
    CHECK(registers.instrument.preset_kg == 0.0);
    CHECK(registers.instrument.corners_loaded == 0);
}

TEST_CASE("No write of registers or coils changes a calibration", "[console]") {
    Registers registers;
    registers.instrument.open_seal = true;
    std::mt19937 random(4);
    for (int i = 0; i < 20000; ++i) {
        std::vector<std::uint16_t> values(random() % 5);
        for (auto& value : values)
            value = static_cast<std::uint16_t>(random() % 2 == 0 ? random() % 8 : random());
        (void)registers.write(static_cast<int>(random() % 2 == 0 ? 510 + random() % 10 : random() % 65536),
                              values);
        const bool on = random() % 2 == 0;
        (void)registers.map.write_coil(static_cast<std::uint16_t>(random() % 8), on);
    }
    CHECK(registers.instrument.zeros > 0);
    CHECK(registers.instrument.calibrations == 0);
    CHECK(registers.instrument.points == 0);
}
