#include "firmware/storage/record.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <string_view>

#include "firmware/storage/crc32c.h"

using namespace cornerbench;
using storage::Kept;
using storage::Record;

namespace {

Kept some_kept() {
    Kept kept = storage::factory_kept();
    kept.calibrated = true;
    kept.calibration = {0.21e-3, 6.0e7, -3.0e5};
    for (std::size_t i = 0; i < kept.corner_gain.size(); ++i)
        kept.corner_gain[i] = 1.0 + 0.001 * static_cast<double>(i);
    kept.zero_known = true;
    kept.zero_offset_kg = -12.5;
    kept.zero_lost = true;
    kept.empty_known = true;
    for (std::size_t i = 0; i < kept.empty_ratio.size(); ++i)
        kept.empty_ratio[i] = 1.0e-4f + 1.0e-6f * static_cast<float>(i);
    kept.unit = scale::MassUnit::pound;
    kept.calibration_changes = 7;
    kept.configuration_changes = 0xDEAD'BEEF;
    kept.last_reading = {true, 17, -12'340, 500, -12'840, 3, scale::MassUnit::tonne};
    return kept;
}

}  // namespace

TEST_CASE("CRC-32C has its published check value", "[storage]") {
    // RFC 3720, appendix B.4, uses this polynomial; the value for "123456789" is the catalogued check of it.
    constexpr std::string_view text = "123456789";
    std::array<std::uint8_t, 9> bytes{};
    for (std::size_t i = 0; i < bytes.size(); ++i) bytes[i] = static_cast<std::uint8_t>(text[i]);
    CHECK(storage::crc32c(bytes) == 0xE3069283u);
    // RFC 3720, appendix B.4: 32 bytes of zeroes, and 32 of ones; the RFC prints the bytes lowest first.
    std::array<std::uint8_t, 32> zeroes{};
    CHECK(storage::crc32c(zeroes) == 0x8A9136AAu);
    std::array<std::uint8_t, 32> ones{};
    ones.fill(0xFF);
    CHECK(storage::crc32c(ones) == 0x62A8AB43u);
    // The same appendix (from memory): 00 to 1F, 1F to 00, and an iSCSI command of 48 bytes.
    std::array<std::uint8_t, 32> rising{};
    std::array<std::uint8_t, 32> falling{};
    for (std::size_t i = 0; i < rising.size(); ++i) {
        rising[i] = static_cast<std::uint8_t>(i);
        falling[i] = static_cast<std::uint8_t>(31 - i);
    }
    CHECK(storage::crc32c(rising) == 0x46DD794Eu);
    CHECK(storage::crc32c(falling) == 0x113FDB5Cu);
    std::array<std::uint8_t, 48> command{0x01, 0xC0};
    command[16] = 0x14;
    command[22] = 0x04;
    command[27] = 0x14;
    command[31] = 0x18;
    command[32] = 0x28;
    command[40] = 0x02;
    CHECK(storage::crc32c(command) == 0xD9963A56u);
}

TEST_CASE("what is kept comes back from its bytes", "[storage]") {
    for (const Kept& kept : {storage::factory_kept(), some_kept()}) {
        const auto decoded = storage::decode(storage::encode(kept, 41));
        REQUIRE(decoded);
        CHECK(decoded->kept == kept);
        CHECK(decoded->number == 41);
    }
}

TEST_CASE("a record with any one bit changed is refused", "[storage]") {
    const Record record = storage::encode(some_kept(), 3);
    int accepted = 0;
    for (std::size_t i = 0; i < record.size(); ++i) {
        for (unsigned bit = 0; bit < 8; ++bit) {
            Record changed = record;
            changed[i] = static_cast<std::uint8_t>(changed[i] ^ 1u << bit);
            if (storage::decode(changed)) ++accepted;
        }
    }
    CHECK(accepted == 0);
    CHECK_FALSE(storage::decode(std::span(record).first(storage::record_size - 1)));
    Record erased;
    erased.fill(0xFF);
    CHECK_FALSE(storage::decode(erased));
    CHECK_FALSE(storage::decode(Record{}));
}

TEST_CASE("a record that is whole but makes no sense is refused", "[storage]") {
    const auto refused = [](auto&& spoil) {
        Kept kept = some_kept();
        spoil(kept);
        return !storage::decode(storage::encode(kept, 1)).has_value();
    };
    CHECK(refused([](Kept& k) { k.calibration.kg_per_ratio = 0.0; }));
    CHECK(refused([](Kept& k) { k.calibration.kg_per_ratio = -6.0e7; }));
    CHECK(refused([](Kept& k) { k.calibration.zero_ratio = std::nan(""); }));
    CHECK(refused([](Kept& k) { k.corner_gain[4] = 0.0; }));
    CHECK(refused([](Kept& k) { k.zero_offset_kg = std::numeric_limits<double>::infinity(); }));
    CHECK(refused([](Kept& k) { k.empty_ratio[2] = std::nanf(""); }));
    CHECK(refused([](Kept& k) { k.last_reading.decimals = 10; }));
    CHECK_FALSE(refused([](Kept& k) { k.calibrated = false; }));
}

TEST_CASE("a mark is of its kind and its record alone", "[storage]") {
    using storage::MarkKind;
    const std::array kinds{MarkKind::opening, MarkKind::first_closing, MarkKind::last_closing};
    for (const MarkKind kind : kinds) {
        const storage::Mark mark = storage::encode_mark(kind, 77);
        for (const MarkKind asked : kinds)
            CHECK(storage::decode_mark(asked, mark).has_value() == (asked == kind));
        CHECK(storage::decode_mark(kind, mark) == 77u);
        for (std::size_t i = 0; i < mark.size(); ++i) {
            storage::Mark changed = mark;
            changed[i] = static_cast<std::uint8_t>(changed[i] ^ 0x10u);
            CHECK_FALSE(storage::decode_mark(kind, changed));
        }
    }
}
