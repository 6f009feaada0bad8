#include <catch2/catch.hpp>

#include <set>
#include <string>

#include "sim/files/minutes_file.h"
#include "tests/files/error_matchers.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;
using field::CheckMinutes;

TEST_CASE("A file of minutes changes what it names and nothing else", "[files]") {
    const auto loaded = parse_minutes("[minutes]\nmove_weight = 10\nlook_under_deck = 2.5\n", "m.toml");
    REQUIRE(loaded);
    CheckMinutes expected;
    expected.move_weight = 10.0;
    expected.look_under_deck = 2.5;
    CHECK(*loaded.value == expected);
    for (const MinutesKey& key : minutes_fields()) {
        const auto one = parse_minutes("[minutes]\n" + std::string(key.name) + " = 77\n", "m.toml");
        REQUIRE(one);
        for (const MinutesKey& other : minutes_fields()) {
            CAPTURE(key.name, other.name);
            const double usual = CheckMinutes{}.*other.minutes;
            CHECK((*one.value).*other.minutes == (other.name == key.name ? 77.0 : usual));
        }
    }
}

TEST_CASE("Every minute that a check can cost has a key", "[files]") {
    CHECK(minutes_fields().size() * sizeof(double) == sizeof(CheckMinutes));
    std::set<std::string_view> names;
    for (const MinutesKey& key : minutes_fields()) {
        names.insert(key.name);
        CHECK(minutes_keys_text().find(std::string(key.name) + ":") != std::string::npos);
    }
    CHECK(names.size() == minutes_fields().size());
}

TEST_CASE("An error in a file of minutes says where and what would be valid", "[files]") {
    const auto refused = [](const std::string& text, const Expected& error) {
        CAPTURE(text);
        require_only(parse_minutes(text, "m.toml"), error);
    };
    refused("[minutes]\nread = 0\n", {ErrorKind::out_of_range, 2, "read", "at least 0.1 and at most 600"});
    refused("[minutes]\njacking = -1\n", {ErrorKind::out_of_range, 2, "jacking", "at least 0"});
    refused("[minutes]\nread = nan\n", {ErrorKind::out_of_range, 2, "read", "at least 0.1"});
    refused("[minutes]\nread = \"long\"\n", {ErrorKind::wrong_type, 2, "read", "at least 0.1"});
    refused("[minutes]\nopen_bx = 3\n", {ErrorKind::unknown_key, 2, "open_bx", "open_box"});
    refused("open_box = 3\n[minutes]\n", {ErrorKind::unknown_key, 1, "open_box", "[minutes]"});
    refused("[causes]\nwet-leak = 2\n", {ErrorKind::impossible, 1, "causes", "must be a file of minutes"});
    CHECK_FALSE(parse_minutes("", "m.toml"));
}
