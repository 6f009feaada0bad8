#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <sstream>
#include <string>

#include "sim/files/scale_keys.h"
#include "tests/files/error_matchers.h"
#include "tests/files/scale_text.h"

using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

std::string path_of(const ScaleKey& key) {
    return std::string(key.table) + "/" + std::string(key.name);
}

/// The keys that the full text has: all but those of [[cells]], and gravity as a value.
std::vector<ScaleKey> keys_in_text() {
    std::vector<ScaleKey> keys;
    for (const ScaleKey& key : scale_keys()) {
        if (key.table != "cells" && path_of(key) != "gravity/g") keys.push_back(key);
    }
    return keys;
}

bool is_number(const ScaleKey& key) {
    return key.kind == KeyKind::number || key.kind == KeyKind::integer || key.kind == KeyKind::mass;
}

ScaleDraft draft_of(const ScaleFile& file) {
    ScaleDraft draft;
    draft.file = file;
    draft.cell = file.description.cells[0];
    draft.colours = file.colours[0];
    return draft;
}

std::string written(double number) {
    std::ostringstream out;
    out.precision(17);
    out << number;
    return out.str();
}

}  // namespace

TEST_CASE("The full text has every key, none at its default, and loads without a word") {
    const ScaleText text = ScaleText::full();
    const auto loaded = text.load();
    INFO(to_string(loaded.errors) << to_string(loaded.warnings));
    REQUIRE(loaded);
    CHECK(loaded.warnings.empty());
    for (const ScaleKey& key : keys_in_text()) {
        INFO(path_of(key));
        CHECK(text.line_of(key.table, key.name) > 0);
        if (key.field.get == nullptr || key.table == "gravity" || path_of(key) == "/unit") continue;
        CHECK(key.field.get(draft_of(*loaded.value)) != key.field.get(ScaleDraft{}));
    }
}

TEST_CASE("A key of the wrong type is an error at its line") {
    for (const ScaleKey& key : keys_in_text()) {
        INFO(path_of(key));
        ScaleText text = ScaleText::full();
        text.set(key.table, key.name, is_number(key) ? "\"12\"" : "12");
        require_among(text.load(), {ErrorKind::wrong_type, text.line_of(key.table, key.name),
                                    std::string(key.name), "must be "});
        for (const char* other : {"true", "1979-05-27", "{ a = 1 }", "[1, \"2\"]"}) {
            INFO(other);
            text.set(key.table, key.name, other);
            const auto loaded = text.load();
            REQUIRE_FALSE(loaded);
            CHECK(std::any_of(loaded.errors.begin(), loaded.errors.end(), [&](const FileError& error) {
                return error.spot.line == text.line_of(key.table, key.name) &&
                       (error.kind == ErrorKind::wrong_type || key.kind == KeyKind::positions);
            }));
        }
    }
}

TEST_CASE("A number out of its range is an error that says the range") {
    for (const ScaleKey& key : keys_in_text()) {
        if (!is_number(key)) continue;
        const double low = key.range.or_zero ? key.range.low / 2.0 : key.range.low - 1.0e-6;
        for (const double value : {low, key.range.high + 1.0, -1.0e300, 1.0e300}) {
            if (key.kind == KeyKind::integer && value != std::floor(value)) continue;
            INFO(path_of(key) << " = " << value);
            ScaleText text = ScaleText::full();
            text.set(key.table, key.name,
                     key.kind == KeyKind::integer && std::fabs(value) < 1.0e9
                         ? std::to_string(static_cast<long>(value))
                         : written(value));
            const bool whole = key.kind == KeyKind::integer && std::fabs(value) >= 1.0e9;
            require_among(text.load(),
                          {whole ? ErrorKind::wrong_type : ErrorKind::out_of_range,
                           text.line_of(key.table, key.name), std::string(key.name), valid_text(key)});
        }
    }
}

TEST_CASE("The ends of a range are inside it") {
    for (const ScaleKey& key : keys_in_text()) {
        if (!is_number(key)) continue;
        for (const double value : {key.range.low, key.range.high}) {
            INFO(path_of(key) << " = " << value);
            ScaleText text = ScaleText::full();
            text.set(
                key.table, key.name,
                key.kind == KeyKind::integer ? std::to_string(static_cast<long>(value)) : written(value));
            const auto loaded = text.load();
            CHECK(count_of(loaded.errors, {ErrorKind::out_of_range, text.line_of(key.table, key.name),
                                           std::string(key.name), "must be " + valid_text(key)}) == 0);
        }
    }
}

TEST_CASE("Infinity and not-a-number are no numbers") {
    // TOML 1.0.0, "Float", has inf and nan with either sign.
    for (const ScaleKey& key : keys_in_text()) {
        if (!is_number(key)) continue;
        for (const char* value : {"inf", "-inf", "+inf", "nan", "-nan"}) {
            INFO(path_of(key) << " = " << value);
            ScaleText text = ScaleText::full();
            text.set(key.table, key.name, value);
            require_among(text.load(),
                          {key.kind == KeyKind::integer ? ErrorKind::wrong_type : ErrorKind::out_of_range,
                           text.line_of(key.table, key.name), std::string(key.name), "number"});
        }
    }
}

TEST_CASE("A mistyped key is an error that names the right one") {
    for (const ScaleKey& key : keys_in_text()) {
        if (key.table == "cell.colours" && key.name != "shield") continue;
        INFO(path_of(key));
        std::string slip(key.name);
        std::swap(slip[slip.size() - 1], slip[slip.size() - 2]);
        if (slip == key.name) slip += "x";
        ScaleText text = ScaleText::full();
        text.rename(key.table, key.name, slip);
        require_among(text.load(), {ErrorKind::unknown_key, text.line_of(key.table, slip), slip,
                                    "nearest is " + std::string(key.name)});
    }
}

TEST_CASE("A key left out has its default, or is an error where it has none") {
    const std::map<std::string, double> by_kind = {
        {"box.trim/total_ohm", 1.0e5}, {"box.trim/fixed_ohm", 1.0e4}, {"box.trim/at", 20.0}};
    for (const ScaleKey& key : keys_in_text()) {
        INFO(path_of(key));
        ScaleText text = ScaleText::full();
        text.remove(key.table, key.name);
        const auto loaded = text.load();
        INFO(to_string(loaded.errors));
        if (path_of(key) == "gravity/latitude_deg") {
            CHECK(count_of(loaded.errors, {ErrorKind::missing_key, text.line_of("gravity", "height_m") - 1,
                                           "gravity.latitude_deg", "{ g = ... }"}) == 1);
        } else if (key.table == "finer" || key.table == "finest") {
            // Half of a range is none.
            REQUIRE(loaded.errors.size() == 1);
            CHECK(loaded.errors[0].kind == ErrorKind::missing_key);
            CHECK(loaded.errors[0].message ==
                  "needs [" + std::string(key.table) + "] " + std::string(key.name) + " beside it");
        } else if (key.required) {
            REQUIRE(loaded.errors.size() == 1);
            CHECK(loaded.errors[0].kind == ErrorKind::missing_key);
            CHECK(loaded.errors[0].spot.key == std::string(key.table.empty() ? ""
                                                           : key.table == "box.trim"
                                                               ? "[box] trim."
                                                               : "[" + std::string(key.table) + "] ") +
                                                   std::string(key.name));
            CHECK(loaded.errors[0].message == "missing, and has no default: must be " + valid_text(key));
        } else if (key.field.get != nullptr && key.table != "gravity") {
            REQUIRE(loaded);
            const auto special = by_kind.find(path_of(key));
            const double expected = special != by_kind.end() ? special->second : key.field.get(ScaleDraft{});
            CHECK(key.field.get(draft_of(*loaded.value)) == expected);
        } else {
            CHECK(loaded);
        }
    }
}

TEST_CASE("The documented default, written out, changes nothing") {
    for (const ScaleKey& key : keys_in_text()) {
        if (key.required || !key.default_note.empty() || key.field.get == nullptr || key.table == "gravity")
            continue;
        INFO(path_of(key));
        ScaleText absent = ScaleText::full();
        absent.remove(key.table, key.name);
        ScaleText given = ScaleText::full();
        given.set(key.table, key.name, default_text(key));
        const auto without = absent.load();
        const auto with = given.load();
        INFO(to_string(with.errors));
        REQUIRE(without);
        REQUIRE(with);
        CHECK(key.field.get(draft_of(*with.value)) ==
              Approx(key.field.get(draft_of(*without.value))).epsilon(1.0e-14));
    }
}

TEST_CASE("The printed keys fit a terminal and name every key") {
    std::istringstream lines(scale_keys_text());
    std::string line;
    while (std::getline(lines, line)) {
        INFO(line);
        CHECK(line.size() <= 80);
    }
    for (const ScaleKey& key : scale_keys()) {
        CHECK(scale_keys_text().find("  " + std::string(key.name) + ": ") != std::string::npos);
    }
}
