#include <catch2/catch.hpp>

#include <string>

#include "tests/files/error_matchers.h"
#include "tests/files/scale_text.h"

using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

constexpr const char* series_trim = R"({ kind = "excitation-series", total_ohm = 20, turns = 25, at = 0 })";

ScaleText with_trim(const std::string& trim) {
    ScaleText text = ScaleText::small();
    return text.set("box", "trim", trim);
}

int trim_line() {
    return with_trim(series_trim).line_of("box", "trim");
}

}  // namespace

TEST_CASE("All errors of a file are reported at once, in the order of its lines") {
    ScaleText text = ScaleText::full();
    text.set("", "division", "30");
    text.set("", "class", "\"III L\"");
    text.set("gravity", "latitude_deg", "91");
    text.set("deck", "section_x_m", "[0.0, 5.0, 4.0]");
    text.rename("deck", "width_m", "widht_m");
    text.set("support", "stiffness_kN_per_mm", "-70");
    text.set("cell", "capacity", "\"15000\"");
    text.set("cell", "output_resistance_ohm", "1000");
    text.set("cable", "conductor", "\"20 AGW\"");
    text.set("box.trim", "at", "21");
    text.set("home_run", "wires", "5");
    text.set("indicator", "bits", "24.0");
    text.append("[[cells]]\nnumber = 17\n[[cells]]\ncapacity = 5\n");
    const auto loaded = text.load();
    INFO(to_string(loaded.errors));
    const auto line = [&](const char* table, const char* key) { return text.line_of(table, key); };
    const Expected expected[] = {
        {ErrorKind::out_of_range, line("", "division"), "division", "20 and 50"},
        {ErrorKind::impossible, line("", "class"), "class", "\"III\", \"IIII\""},
        {ErrorKind::out_of_range, line("gravity", "latitude_deg"), "gravity.latitude_deg", "at most 90"},
        {ErrorKind::missing_key, line("deck", "section_x_m") - 1, "[deck] width_m", "at most 12 (m)"},
        {ErrorKind::impossible, line("deck", "section_x_m"), "[deck] section_x_m", "at least 5.1"},
        {ErrorKind::unknown_key, line("deck", "widht_m"), "[deck] widht_m", "width_m"},
        {ErrorKind::out_of_range, line("support", "stiffness_kN_per_mm"), "stiffness_kN_per_mm", "kN per mm"},
        {ErrorKind::wrong_type, line("cell", "capacity"), "[cell] capacity", "must be a number"},
        {ErrorKind::impossible, line("cell", "output_resistance_ohm"), "output_resistance_ohm", "385 ohm"},
        {ErrorKind::out_of_range, line("cable", "conductor"), "[cable] conductor", "22 AWG"},
        {ErrorKind::out_of_range, line("box.trim", "at"), "[box] trim.at", "at most 20 (turns)"},
        {ErrorKind::out_of_range, line("home_run", "wires"), "[home_run] wires", "must be 4 or 6"},
        {ErrorKind::wrong_type, line("indicator", "bits"), "[indicator] bits", "whole number"},
        {ErrorKind::out_of_range, line("certificates", "cable_m_per_mm2") + 2, "[[cells]] #1 number",
         "at most 16"},
        {ErrorKind::missing_key, line("certificates", "cable_m_per_mm2") + 3, "[[cells]] #2 number",
         "at most 16"}};
    for (const Expected& one : expected) {
        INFO(one.key);
        CHECK(count_of(loaded.errors, one) == 1);
    }
    CHECK(loaded.errors.size() == std::size(expected));
    for (std::size_t i = 1; i < loaded.errors.size(); ++i) {
        CHECK(loaded.errors[i - 1].spot.line <= loaded.errors[i].spot.line);
    }
}

TEST_CASE("An empty file lacks everything that has no default") {
    const auto loaded = parse_scale("", "yard.toml");
    for (const char* key : {"name", "unit", "max", "division", "standard", "class", "gravity",
                            "[deck] section_x_m", "[deck] width_m", "[cell] capacity"}) {
        INFO(key);
        CHECK(count_of(loaded.errors, {ErrorKind::missing_key, 0, key, "missing, and has no default"}) == 1);
    }
    CHECK(loaded.errors.size() == 10);
}

TEST_CASE("Section lines run from left to right, two to eight of them") {
    const auto with = [](const char* sections) {
        ScaleText text = ScaleText::small();
        return text.set("deck", "section_x_m", sections).load();
    };
    const int line = ScaleText::small().line_of("deck", "section_x_m");
    require_only(with("[]"),
                 {ErrorKind::out_of_range, line, "section_x_m", "has 0 section lines, must be 2 to 8"});
    require_only(with("[0.0]"), {ErrorKind::out_of_range, line, "section_x_m", "has 1 section lines"});
    require_only(with("[0, 1, 2, 3, 4, 5, 6, 7, 8]"),
                 {ErrorKind::out_of_range, line, "section_x_m", "has 9 section lines"});
    require_only(with("[0, 5, 5]"),
                 {ErrorKind::impossible, line, "section_x_m", "at least 5.1 (m), after 5"});
    require_only(with("[0, 5, 5.05]"),
                 {ErrorKind::impossible, line, "section_x_m", "at least 5.1 (m), after 5"});
    require_only(with("[0, nan]"), {ErrorKind::out_of_range, line, "section_x_m", "finite"});
    require_only(with("[0, 501]"), {ErrorKind::out_of_range, line, "section_x_m", "at most 500"});
    require_only(with("[0, \"5\"]"), {ErrorKind::wrong_type, line, "section_x_m", "must be a number"});
    require_only(with("[[0], 5]"), {ErrorKind::wrong_type, line, "section_x_m", "must be a number"});
    require_only(with("5"), {ErrorKind::wrong_type, line, "section_x_m", "must be a list of 2 to 8 numbers"});
    CHECK(with("[-3, 0, 1, 2, 3, 4, 5, 6]").value->description.deck.sections == 8);
}

TEST_CASE("An error in a list points at its element") {
    ScaleText text = ScaleText::small();
    text.set("deck", "section_x_m", "[0.0,\n 5.0,\n  4.0]");
    const auto loaded = text.load();
    REQUIRE(loaded.errors.size() == 1);
    CHECK(loaded.errors[0].spot.line == text.line_of("deck", "section_x_m") + 2);
    CHECK(loaded.errors[0].spot.column == 3);
    CHECK(loaded.errors[0].spot.given == "4");
}

TEST_CASE("A division is 1, 2 or 5 times a power of ten, in the file's unit") {
    // OIML R 76-1:2006, 3.2.1, and NIST Handbook 44, 1.10, S.1.2 ask for these steps (the latter from
    // memory).
    for (const char* standard : {"\"OIML R 76\"", "\"NIST Handbook 44\""}) {
        ScaleText text = ScaleText::small();
        text.set("", "standard", standard);
        for (const char* valid : {"1", "2", "5", "10", "20", "50", "0.1", "0.2", "0.5", "100"}) {
            INFO(valid);
            CHECK(text.set("", "division", valid).load().value.has_value());
        }
        const struct {
            const char* given;
            const char* hint;
        } wrong[] = {{"3", "nearest are 2 and 5"},
                     {"25", "nearest are 20 and 50"},
                     {"0.4", "nearest are 0.2 and 0.5"},
                     {"75", "nearest are 50 and 100"},
                     {"9.9", "nearest are 5 and 10"}};
        for (const auto& one : wrong) {
            require_only(text.set("", "division", one.given).load(),
                         {ErrorKind::out_of_range, 4, "division", one.hint});
        }
    }
    ScaleText tonnes = ScaleText::small();
    tonnes.set("", "unit", "\"t\"").set("", "max", "20").set("cell", "capacity", "15");
    CHECK(tonnes.set("", "division", "0.01").load().value.has_value());
    require_only(tonnes.set("", "division", "0.03").load(),
                 {ErrorKind::out_of_range, 4, "division", "nearest are 0.02 and 0.05"});
}

TEST_CASE("A division below max") {
    ScaleText text = ScaleText::small();
    require_only(text.set("", "max", "10").load(),
                 {ErrorKind::impossible, 4, "division", "below max, 10 kg"});
}

TEST_CASE("A standard has its own classes") {
    const struct {
        const char* standard;
        const char* accuracy_class;
        bool valid;
    } pairs[] = {{"\"OIML R 76\"", "\"III\"", true},          {"\"OIML R 76\"", "\"IIII\"", true},
                 {"\"OIML R 76\"", "\"III L\"", false},       {"\"NIST Handbook 44\"", "\"III\"", true},
                 {"\"NIST Handbook 44\"", "\"III L\"", true}, {"\"NIST Handbook 44\"", "\"IIII\"", true}};
    for (const auto& pair : pairs) {
        INFO(pair.standard << pair.accuracy_class);
        ScaleText text = ScaleText::small();
        const auto loaded =
            text.set("", "standard", pair.standard).set("", "class", pair.accuracy_class).load();
        CHECK(loaded.value.has_value() == pair.valid);
        if (!pair.valid)
            require_only(loaded, {ErrorKind::impossible, 6, "class", "must be one of \"III\", \"IIII\""});
    }
    ScaleText text = ScaleText::small();
    require_only(
        text.set("", "class", "\"II\"").load(),
        {ErrorKind::out_of_range, 6, "class", "one of \"III\", \"IIII\", \"III L\"; nearest is \"III\""});
}

TEST_CASE("A number of divisions that the class does not have is a warning") {
    ScaleText text = ScaleText::small();
    // OIML R 76-1:2006, table 3: class III with e of 5 g and more has 500 to 10 000 divisions, IIII 100 to 1
    // 000.
    CHECK(text.set("", "division", "2").load().warnings.empty());
    require_warning(text.set("", "division", "1").load(), 4, "division", "500 to 10 000");
    CHECK(text.set("", "max", "5000").set("", "division", "10").load().warnings.empty());
    require_warning(text.set("", "division", "20").load(), 4, "division", "250 divisions up to max");
    CHECK(text.set("", "class", "\"IIII\"").load().warnings.empty());
    require_warning(text.set("", "division", "1").load(), 4, "division", "100 to 1 000");
    // NIST Handbook 44, 2.20, table 3: class III L has 2 000 to 10 000 divisions of 2 kg (5 lb) and more.
    text.set("", "standard", "\"NIST Handbook 44\"").set("", "class", "\"III L\"");
    require_warning(text.load(), 4, "division", "2 kg (5 lb)");
    CHECK(text.set("", "max", "20000").set("", "division", "2").load().warnings.empty());
}

TEST_CASE("Gravity is given once") {
    ScaleText text = ScaleText::small();
    text.remove("gravity", "g");
    require_only(text.load(),
                 {ErrorKind::missing_key, 0, "gravity", "{ latitude_deg = ..., height_m = ... }"});
    text.set("", "gravity", "{ latitude_deg = 47, g = 9.81 }");
    require_only(text.load(), {ErrorKind::impossible, 7, "gravity.g", "{ g = ... }"});
    text.set("", "gravity", "{ height_m = 47, g = 9.81 }");
    require_only(text.load(), {ErrorKind::impossible, 7, "gravity.g", "{ g = ... }"});
    text.set("", "gravity", "{ height_m = 47 }");
    require_only(text.load(), {ErrorKind::missing_key, 7, "gravity.latitude_deg", "{ g = ... }"});
    text.set("", "gravity", "9.81");
    require_only(text.load(), {ErrorKind::wrong_type, 7, "gravity", "{ latitude_deg, height_m, g }"});
    text.set("", "gravity", "{ g = 0.98 }");
    require_only(text.load(),
                 {ErrorKind::out_of_range, 7, "gravity.g", "at least 9.7 and at most 9.9 (m/s2)"});
    text.set("", "gravity", "{ lattitude_deg = 47 }");
    require_among(text.load(), {ErrorKind::unknown_key, 7, "gravity.lattitude_deg", "latitude_deg"});
}

TEST_CASE("A key in the wrong table is told where it belongs") {
    ScaleText text = ScaleText::small();
    text.set("deck", "capacity", "15000");
    require_only(text.load(), {ErrorKind::unknown_key, text.line_of("deck", "capacity"), "[deck] capacity",
                               "capacity belongs to [cell]"});
    ScaleText top = ScaleText::small();
    top.set("cell", "max", "20000");
    require_only(top.load(),
                 {ErrorKind::unknown_key, top.line_of("cell", "max"), "[cell] max", "the top of the file"});
    ScaleText table = ScaleText::small();
    table.append("[decks]\nmass = 1\n");
    require_only(table.load(),
                 {ErrorKind::unknown_key, table.line_of("cell", "capacity") + 1, "decks", "nearest is deck"});
}

TEST_CASE("A trim holds together") {
    const int line = trim_line();
    CHECK(with_trim(series_trim).load().value.has_value());
    require_only(with_trim(R"({ kind = "excitation-series", total_ohm = 20, at = 25.5 })").load(),
                 {ErrorKind::out_of_range, line, "trim.at", "at least 0 and at most 25 (turns)"});
    require_only(with_trim(R"({ kind = "excitation-series", total_ohm = 20, turns = 0, at = 21 })").load(),
                 {ErrorKind::out_of_range, line, "trim.at", "at least 0 and at most 20 (ohm)"});
    require_only(with_trim(R"({ kind = "excitation-series", total_ohm = 20, fixed_ohm = 100 })").load(),
                 {ErrorKind::impossible, line, "trim.fixed_ohm", "signal-shunt"});
    require_only(
        with_trim(R"({ total_ohm = 20 })").load(),
        {ErrorKind::missing_key, line, "trim.kind", "\"none\", \"excitation-series\", \"signal-shunt\""});
    require_only(with_trim(R"({ kind = "excitation-serial" })").load(),
                 {ErrorKind::out_of_range, line, "trim.kind", "nearest is \"excitation-series\""});
    require_only(with_trim(R"({ kind = "excitation-series", total_ohm = 20, totl_ohm = 5 })").load(),
                 {ErrorKind::unknown_key, line, "[box] trim.totl_ohm", "nearest is total_ohm"});
    require_only(with_trim("20").load(), {ErrorKind::wrong_type, line, "trim", "kind, total_ohm"});
    require_only(
        with_trim(R"({ kind = "signal-shunt", total_ohm = 1000, fixed_ohm = 50, mixing_ohm = 100 })").load(),
        {ErrorKind::out_of_range, line, "trim.fixed_ohm", "must be at least 100 (ohm)"});
    require_only(
        with_trim(R"({ kind = "signal-shunt", total_ohm = 100000, turns = 0, at = 50, mixing_ohm = 100 })")
            .load(),
        {ErrorKind::out_of_range, line, "trim.at", "at least 100 (ohm)"});
}

TEST_CASE("One cell's trim is inside its range too") {
    ScaleText text = with_trim(series_trim);
    text.append("[[cells]]\nnumber = 3\ntrim_at = 26\n");
    const int line = text.line_of("box", "trim") + 3;
    require_only(text.load(), {ErrorKind::out_of_range, line, "[[cells]] #1 trim_at", "at most 25 (turns)"});
}

TEST_CASE("Trims that do nothing, and values assumed, are warnings") {
    const int line = trim_line();
    require_warning(with_trim(R"({ kind = "signal-shunt", total_ohm = 1000, fixed_ohm = 5000 })").load(),
                    line, "trim.kind", "loads the common bus and trims nothing");
    require_warning(with_trim(R"({ kind = "excitation-series" })").load(), line, "trim.total_ohm",
                    "20 assumed");
    require_warning(with_trim(R"({ kind = "none", turns = 10 })").load(), line, "trim.turns", "no effect");
    CHECK(with_trim(R"({ kind = "none", mixing_ohm = 100 })").load().warnings.empty());
    ScaleText text = ScaleText::small();
    text.append("[[cells]]\nnumber = 3\ntrim_at = 2\n");
    require_warning(text.load(), text.line_of("cell", "capacity") + 3, "trim_at", "no trim");
}

TEST_CASE("An untouched trim stands where it does least") {
    const auto series = with_trim(R"({ kind = "excitation-series", total_ohm = 20 })").load();
    CHECK(series.value->description.cells[0].trim_at == 0.0);
    const auto shunt =
        with_trim(R"({ kind = "signal-shunt", total_ohm = 1000, fixed_ohm = 5000, mixing_ohm = 9 })").load();
    CHECK(shunt.value->description.cells[0].trim_at == 25.0);
    const auto fixed =
        with_trim(R"({ kind = "signal-shunt", total_ohm = 1000, turns = 0, mixing_ohm = 9 })").load();
    CHECK(fixed.value->description.cells[0].trim_at == 1000.0);
    CHECK(fixed.value->description.trim.fixed_ohm == 0.0);
}

TEST_CASE("Cells are named once, and within the scale") {
    ScaleText text = ScaleText::small();
    const int last = text.line_of("cell", "capacity");
    text.append(
        "[[cells]]\nnumber = 2\n[[cells]]\nnumber = 5\n[[cells]]\nnumber = 2\n[[cells]]\nnumber = 1.5\n");
    const auto loaded = text.load();
    INFO(to_string(loaded.errors));
    CHECK(count_of(loaded.errors,
                   {ErrorKind::impossible, last + 4, "#2 number", "4 cells: must be 1 to 4"}) == 1);
    CHECK(count_of(loaded.errors, {ErrorKind::impossible, last + 6, "#3 number",
                                   "already given in line " + std::to_string(last + 2)}) == 1);
    CHECK(count_of(loaded.errors, {ErrorKind::wrong_type, last + 8, "#4 number", "whole number"}) == 1);
    CHECK(loaded.errors.size() == 3);
}

TEST_CASE("[[cells]] is a list of tables") {
    ScaleText text = ScaleText::small();
    text.append("[cells]\nnumber = 2\n");
    require_only(text.load(),
                 {ErrorKind::wrong_type, text.line_of("cell", "capacity") + 1, "cells", "[[cells]]"});
    ScaleText list = ScaleText::small();
    list.set("", "cells", "[3]");
    require_only(list.load(),
                 {ErrorKind::wrong_type, list.line_of("", "cells"), "[[cells]] #1", "table of keys"});
}

TEST_CASE("One cell's bridge is checked with its own resistances") {
    ScaleText text = ScaleText::small();
    text.append(
        "[[cells]]\nnumber = 2\noutput_resistance_ohm = 391\n[[cells]]\nnumber = 3\ninput_resistance_ohm = "
        "340\n");
    const int last = text.line_of("cell", "capacity");
    const auto loaded = text.load();
    INFO(to_string(loaded.errors));
    CHECK(count_of(loaded.errors, {ErrorKind::impossible, last + 3, "#1 output_resistance_ohm", "391 ohm"}) ==
          1);
    CHECK(count_of(loaded.errors,
                   {ErrorKind::impossible, last - 1, "[cell] output_resistance_ohm", "here 340 ohm"}) == 1);
    CHECK(loaded.errors.size() == 2);
}

TEST_CASE("Cells too small for the load, and a converter too narrow, are warnings") {
    ScaleText small_cells = ScaleText::small();
    small_cells.set("deck", "mass", "9000").set("cell", "capacity", "7000");
    require_warning(small_cells.load(), small_cells.line_of("cell", "capacity"), "[cell] capacity",
                    "28 000 kg together");
    ScaleText narrow = ScaleText::small();
    narrow.set("indicator", "full_scale_mV_per_V", "0.5");
    // 2 mV/V x 20 000 kg / (4 x 15 000 kg) = 0.6667 mV/V.
    require_warning(narrow.load(), narrow.line_of("indicator", "full_scale_mV_per_V"), "full_scale_mV_per_V",
                    "0.666667 mV/V");
}
