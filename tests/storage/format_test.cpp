#include <algorithm>
#include <catch2/catch.hpp>
#include <optional>

#include "firmware/storage/record.h"
#include "firmware/storage/slots.h"
#include "tests/storage/document_decoder.h"
#include "tests/storage/images.h"

using namespace cornerbench;
using namespace cornerbench::storage;
using namespace cornerbench::storage::testing;

namespace {

constexpr std::size_t block_size = 4096;
const std::string magic_of_records{0x31, 0x63, 0x62, 0x6B};
const std::string magic_of_marks{0x31, 0x6D, 0x62, 0x6B};

Bytes field(Bytes record, const Row& row) {
    return record.subspan(row.offset, row.size);
}

/// Whether the bytes begin with the table's magic and end with the CRC where it says.
bool is_whole(Bytes bytes, const std::vector<Row>& table, const std::string& magic) {
    const Row& last = table.back();
    if (!last.what.starts_with("CRC-32C")) return false;
    return std::equal(magic.begin(), magic.end(), bytes.begin()) &&
           whole_number(field(bytes, last)) == remainder_of(bytes.first(last.offset));
}

/// Holds one field of a record to what was kept.
void check_field(const Row& row, Bytes bytes, const Kept& kept) {
    INFO(row.what);
    const auto number = whole_number(bytes);
    const auto is = [&row](std::string_view what) { return row.what.starts_with(what); };
    if (is("1: calibrated")) CHECK(number == (kept.calibrated ? 1u : 0u));
    if (is("sum of 1"))
        CHECK(number ==
              (kept.zero_known ? 1u : 0u) + (kept.zero_lost ? 2u : 0u) + (kept.empty_known ? 4u : 0u));
    if (is("unit shown")) CHECK(number == static_cast<unsigned>(kept.unit));
    if (is("changes of the calibration")) CHECK(number == kept.calibration_changes);
    if (is("changes of the configuration")) CHECK(number == kept.configuration_changes);
    if (is("calibration: ratio")) CHECK(real(bytes) == kept.calibration.zero_ratio);
    if (row.what == "calibration: kg by V/V") CHECK(real(bytes) == kept.calibration.kg_per_ratio);
    if (is("calibration: kg by V/V squared")) CHECK(real(bytes) == kept.calibration.kg_per_ratio2);
    if (is("zero against")) CHECK(real(bytes) == kept.zero_offset_kg);
    for (std::size_t i = 0; i < kept.corner_gain.size(); ++i) {
        if (is("corner gains")) CHECK(real(bytes.subspan(8 * i, 8)) == kept.corner_gain[i]);
        if (is("signals of the empty")) CHECK(single(bytes.subspan(4 * i, 4)) == kept.empty_ratio[i]);
    }
    const KeptReading& last = kept.last_reading;
    if (is("last printed reading")) CHECK(number == (last.known ? 1u : 0u));
    if (is("its decimals")) CHECK(number == last.decimals);
    if (is("its unit")) CHECK(number == static_cast<unsigned>(last.unit));
    if (is("its ticket")) CHECK(number == last.ticket);
    if (is("its gross")) CHECK(static_cast<std::int64_t>(number) == last.gross);
    if (is("its tare")) CHECK(static_cast<std::int64_t>(number) == last.tare);
    if (is("its net")) CHECK(static_cast<std::int64_t>(number) == last.net);
    if (row.what == "0") CHECK(number == 0u);
}

struct NewestBytes {
    std::uint64_t number = 0;
    Bytes record;
};

/// The newest record by the page's rules for version 2: closed by both marks, all of them whole.
NewestBytes newest_closed(const FormatPage& page, Bytes image) {
    const auto record_table = page.table("A record");
    const auto mark_table = page.table("A mark");
    const std::size_t mark = page.part("opening mark");
    const std::size_t record = page.part("record");
    const std::size_t slot = 3 * mark + record;
    NewestBytes newest;
    for (std::size_t block = 0; block < image.size(); block += block_size)
        for (std::size_t at = block; at + slot <= block + block_size; at += slot) {
            const Bytes bytes = image.subspan(at + mark, record);
            if (!is_whole(bytes, record_table, magic_of_records)) continue;
            const auto number = whole_number(field(bytes, record_table[3]));
            const auto closed = [&](std::size_t from, unsigned kind) {
                const Bytes its = image.subspan(from, mark);
                return is_whole(its, mark_table, magic_of_marks) &&
                       whole_number(field(its, mark_table[1])) == kind &&
                       whole_number(field(its, mark_table[2])) == number;
            };
            if (closed(at + mark + record, 2) && closed(at + 2 * mark + record, 3) && number > newest.number)
                newest = {number, bytes};
        }
    return newest;
}

NewestBytes newest_of_version_1(const FormatPage& page, Bytes image) {
    const auto table = page.table("Version 1");
    const std::size_t size = table.back().offset + table.back().size;
    NewestBytes newest;
    for (std::size_t at = 0; at + size <= image.size(); at += size) {
        const Bytes bytes = image.subspan(at, size);
        if (!is_whole(bytes, table, magic_of_records) || whole_number(field(bytes, table[1])) != 1) continue;
        const auto number = whole_number(bytes.subspan(8, 4));
        if (number > newest.number) newest = {number, bytes};
    }
    return newest;
}

}  // namespace

TEST_CASE("the tables of FORMAT.md leave no byte out and name none twice", "[storage]") {
    const FormatPage page;
    for (const auto& [heading, size] : {std::pair<std::string, std::size_t>{"A record", record_size},
                                        {"A mark", mark_size},
                                        {"Version 1", first_record_size}}) {
        INFO(heading);
        std::size_t next = 0;
        for (const Row& row : page.table(heading)) {
            INFO(row.what);
            CHECK(row.offset == next);
            next = row.offset + row.size;
        }
        CHECK(next == size);
    }
    const Slots slots({8, block_size, 2});
    CHECK(page.part("opening mark") == slots.mark_room());
    CHECK(page.part("record") == slots.record_room());
    CHECK(slots.in_area() == 11);
}

TEST_CASE("the CRC of the document's decoder has its published check value", "[storage]") {
    // The catalogued check of CRC-32C for "123456789" (RFC 3720, appendix B.4, has the polynomial).
    const std::string text = "123456789";
    const std::vector<std::uint8_t> bytes(text.begin(), text.end());
    CHECK(remainder_of(bytes) == 0xE3069283u);
}

TEST_CASE("images that a firmware has left read by FORMAT.md as what was kept in them", "[storage]") {
    const FormatPage page;
    for (const Image& image : images) {
        INFO(image.name);
        const auto bytes = bytes_of(image);
        REQUIRE(bytes.size() == 2 * block_size);
        const bool first = image.version == 1;
        const NewestBytes newest = first ? newest_of_version_1(page, bytes) : newest_closed(page, bytes);
        REQUIRE_FALSE(newest.record.empty());
        const Kept kept = numbered(image.newest, !first);
        int checked = 0;
        for (const Row& row : page.table("A record")) {
            if (row.offset < 12 || (first && row.offset >= 248)) continue;
            if (row.what.starts_with("CRC-32C")) continue;
            check_field(row, field(newest.record, row), kept);
            ++checked;
        }
        CHECK(checked == (first ? 11 : 19));
    }
}
