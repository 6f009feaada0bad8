#include "sim/files/tolerances_file.h"

#include <catch2/catch.hpp>
#include <set>
#include <string>

#include "tests/files/error_matchers.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;
using field::PartTolerances;

namespace {

/// The number behind a key; -1 where the scale's file is to say it.
double value_of(const PartTolerances& t, const ToleranceKey& key) {
    if (const auto* own = std::get_if<ToleranceKey::Own>(&key.value)) return t.*(*own);
    return (t.*std::get<ToleranceKey::FromScale>(key.value)).value_or(-1.0);
}

}  // namespace

TEST_CASE("A file of tolerances changes what it names and nothing else", "[files]") {
    for (const ToleranceKey& key : tolerance_fields()) {
        const auto one = parse_tolerances("[tolerances]\n" + std::string(key.name) + " = 0.75\n", "t.toml");
        REQUIRE(one);
        for (const ToleranceKey& other : tolerance_fields()) {
            CAPTURE(key.name, other.name);
            const double usual = value_of({}, other);
            CHECK(value_of(*one.value, other) == (other.name == key.name ? 0.75 : usual));
        }
    }
}

TEST_CASE("Every tolerance has a key, and its own text", "[files]") {
    std::set<std::string_view> names;
    std::size_t bytes = 0;
    for (const ToleranceKey& key : tolerance_fields()) {
        names.insert(key.name);
        CHECK(tolerances_keys_text().find(std::string(key.name) + ":") != std::string::npos);
        bytes += std::holds_alternative<ToleranceKey::Own>(key.value) ? sizeof(double)
                                                                      : sizeof(std::optional<double>);
    }
    CHECK(names.size() == tolerance_fields().size());
    CHECK(bytes == sizeof(PartTolerances));
}

TEST_CASE("An error in a file of tolerances says where and what would be valid", "[files]") {
    const auto refused = [](const std::string& text, const Expected& error) {
        CAPTURE(text);
        require_only(parse_tolerances(text, "t.toml"), error);
    };
    refused("[tolerances]\ntrim_percent = 51\n",
            {ErrorKind::out_of_range, 2, "trim_percent", "at least 0 and at most 50"});
    refused("[tolerances]\nterminal_ohm = -0.1\n",
            {ErrorKind::out_of_range, 2, "terminal_ohm", "at least 0"});
    refused("[tolerances]\ntemperature_K = nan\n",
            {ErrorKind::out_of_range, 2, "temperature_K", "at least 0"});
    refused("[tolerances]\nzero_percent = \"wide\"\n",
            {ErrorKind::wrong_type, 2, "zero_percent", "at least 0"});
    refused("[tolerances]\ntrim_percnt = 3\n", {ErrorKind::unknown_key, 2, "trim_percnt", "trim_percent"});
    refused("trim_percent = 3\n[tolerances]\n", {ErrorKind::unknown_key, 1, "trim_percent", "[tolerances]"});
    refused("[minutes]\nread = 2\n", {ErrorKind::impossible, 1, "minutes", "must be a file of tolerances"});
    CHECK_FALSE(parse_tolerances("", "t.toml"));
    CHECK_FALSE(load_tolerances("nowhere.toml"));
}

TEST_CASE("The shipped tolerances load", "[files]") {
    const auto matched =
        load_tolerances(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/tolerances/matched-cells.toml");
    REQUIRE(matched);
    CHECK(matched.value->output_resistance_percent == 0.05);
    CHECK(matched.value->cable_length_percent == PartTolerances{}.cable_length_percent);
}
