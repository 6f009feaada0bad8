#include "sim/files/numeric_key.h"

#include <catch2/catch.hpp>

#include "tests/files/scale_text.h"

using namespace cornerbench;
using namespace cornerbench::files;
using files::testing::ScaleText;

namespace {

/// What the file holds of a key, in SI.
double held(const ScaleFile& file, const NumericKey& key) {
    if (key.element > 0) return file.description.deck.section_x_m[static_cast<std::size_t>(key.element - 1)];
    ScaleDraft draft;
    draft.file = file;
    draft.cell = file.description.cells[static_cast<std::size_t>(key.cell > 0 ? key.cell - 1 : 0)];
    draft.gravity_latitude_deg = 0.0;
    return key.key->field.get(draft);
}

}  // namespace

TEST_CASE("every number of a scale file can be put in its place by its path", "[files]") {
    const std::string text = ScaleText::full().text();
    int tried = 0;
    for (const ScaleKey& key : scale_keys()) {
        if (key.kind == KeyKind::text || key.kind == KeyKind::choice || key.table == "gravity") continue;
        if (key.table == "cells" && key.name == "number") continue;
        const bool list = key.kind == KeyKind::positions;
        const std::string table = key.table == "cells" ? "cell.2" : std::string(key.table);
        const std::string path =
            (table.empty() ? "" : table + ".") + std::string(key.name) + (list ? ".2" : "");
        CAPTURE(path);
        const auto found = find_numeric_key(path);
        REQUIRE(found);
        const auto before = parse_scale(text, "yard.toml");
        REQUIRE(before);
        // A little less than what stands there keeps every rule of the full file; a division is 1, 2 or 5.
        const bool whole = key.kind == KeyKind::integer;
        const double si = held(*before.value, *found);
        double value = si / key.si_per_unit * (1.0 - 1.0e-3);
        if (key.name == "division") value = key.table.empty() ? 20.0 : key.table == "finer" ? 5.0 : 1.0;
        if (key.name == "up_to") value = key.table == "finer" ? 9000.0 : 3900.0;
        if (key.name == "wires") value = 6.0;
        if (whole && key.name != "wires") value = 19.0;
        const auto after = parse_scale_with(text, "yard.toml", *found, value);
        CAPTURE(value, after.errors.empty() ? "" : to_string(after.errors.front()));
        REQUIRE(after);
        CHECK(held(*after.value, *found) == Approx(value * key.si_per_unit).epsilon(1.0e-11));
        ++tried;
    }
    CHECK(tried > 45);
}

TEST_CASE("a number of one cell leaves the other cells as they are", "[files]") {
    const std::string text = ScaleText::small().append("[[cells]]\nnumber = 3\ncapacity = 16000\n").text();
    for (const int number : {1, 3}) {
        const auto key = find_numeric_key("cell." + std::to_string(number) + ".capacity");
        REQUIRE(key);
        const auto after = parse_scale_with(text, "yard.toml", *key, 20000.0);
        REQUIRE(after);
        for (int i = 0; i < 4; ++i) {
            const double kept = i == 2 ? 16000.0 : 15000.0;
            CHECK(after.value->description.cells[static_cast<std::size_t>(i)].capacity_kg ==
                  (i == number - 1 ? 20000.0 : kept));
        }
    }
}

TEST_CASE("a number put into a file is held to the file's rules", "[files]") {
    const std::string text = ScaleText::small().text();
    const auto refused = [&](const char* path, double value) {
        const auto key = find_numeric_key(path);
        REQUIRE(key);
        const auto after = parse_scale_with(text, "yard.toml", *key, value);
        REQUIRE_FALSE(after);
        return after.errors.front().message;
    };
    CHECK(refused("deck.width_m", -1.0) == "must be at least 0.1 and at most 12 (m)");
    CHECK(refused("home_run.wires", 5.0).find("4") != std::string::npos);
    CHECK(refused("indicator.bits", 20.5).find("whole") != std::string::npos);
    CHECK(refused("cell.output_resistance_ohm", 500.0).find("390") != std::string::npos);
    CHECK(refused("cell.5.capacity", 20000.0).find("1 to 4") != std::string::npos);
}

TEST_CASE("a path that is no number names the nearest that is", "[files]") {
    for (const char* path :
         {"", ".", "name", "unit", "deck", "deck.section_x_m", "cell.0.capacity", "cell.x.capacity",
          "cells.number", "cell.1.number", "deck.2.width_m", "home_run.conductors"})
        CHECK_FALSE(find_numeric_key(path));
    CHECK(nearest_numeric_key("home_run.lenth_m") == "nearest: home_run.length_m");
    CHECK(nearest_numeric_key("length_m") == "nearest: cable.length_m or home_run.length_m");
    CHECK(nearest_numeric_key("capacty") == "nearest: cell.capacity or cell.1.capacity");
    CHECK(nearest_numeric_key("qqqqqqqq").empty());
}
