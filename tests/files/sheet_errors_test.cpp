#include <catch2/catch.hpp>

#include <algorithm>
#include <string>

#include "sim/files/sheet_keys.h"
#include "tests/files/error_matchers.h"
#include "tests/files/sheet_text.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

/// A valid reading of each quantity, its keys from line 3 on.
std::string valid_reading(std::string_view what) {
    const std::string start = "what = \"" + std::string(what) + "\"\n";
    if (what == "weight") return start + "load = \"empty\"\nvalue = 20\n";
    if (what == "signal") return start + "cell = 1\nload = \"empty\"\nconnected = false\nvalue_mV = 1\n";
    if (what == "resistance") return start + "cell = 1\nbetween = [\"E+\", \"E-\"]\nvalue_ohm = 390\n";
    if (what == "excitation") return start + "cell = 1\nvalue_V = 10\n";
    if (what == "inspection") return start + "cell = 1\nlook = \"trim\"\nfound = \"not\"\n";
    return start + "cell = 1\nload = \"empty\"\nvalue_mV_per_V = 0.5\n";
}

ScaleText any_scale() {
    ScaleText text = sheet_scale();
    return text.set("box", "converter", "\"per-cell\"");
}

int lines_in(const std::string& text) {
    int count = 0;
    for (const char c : text) count += c == '\n' ? 1 : 0;
    return count;
}

}  // namespace

TEST_CASE("A valid reading of each quantity, as the tests below change them") {
    for (const auto what : quantity_words) {
        INFO(what);
        CHECK(reading_with(valid_reading(what), any_scale()));
    }
}

TEST_CASE("No key of a reading goes missing unnoticed, save what has a default") {
    for (const auto what : quantity_words) {
        const std::string keys = valid_reading(what);
        std::size_t start = 0;
        while (start < keys.size()) {
            const std::size_t end = keys.find('\n', start) + 1;
            const std::string line = keys.substr(start, end - start);
            const std::string name = line.substr(0, line.find(' '));
            const auto loaded = reading_with(keys.substr(0, start) + keys.substr(end), any_scale());
            INFO(what << " without " << name << "\n" << to_string(loaded.errors));
            REQUIRE(loaded.errors.size() == 1);
            CHECK(loaded.errors[0].kind == ErrorKind::missing_key);
            CHECK(loaded.errors[0].spot.line == 2);
            const bool named = loaded.errors[0].spot.key.ends_with(name) ||
                               loaded.errors[0].message.find(name) != std::string::npos;
            CHECK(named);
            start = end;
        }
    }
}

TEST_CASE("A key that the quantity does not have is an error that says who has it") {
    for (int quantity = 0; quantity < quantity_count; ++quantity) {
        const auto what = quantity_words[static_cast<std::size_t>(quantity)];
        const auto has = reading_keys(static_cast<diagnosis::Quantity>(quantity));
        for (const SheetKey& key : sheet_keys()) {
            if (key.table != "reading" || std::find(has.begin(), has.end(), key.name) != has.end()) continue;
            const std::string keys = valid_reading(what);
            const auto loaded = reading_with(keys + std::string(key.name) + " = 1", any_scale());
            INFO(what << " with " << key.name);
            require_only(loaded, {ErrorKind::unknown_key, 3 + lines_in(keys), std::string(key.name),
                                  std::string(key.name) + " belongs to "});
        }
    }
}

TEST_CASE("A key of the wrong type is an error at its line, whatever the quantity") {
    for (const auto what : quantity_words) {
        const std::string keys = valid_reading(what);
        std::size_t start = 0;
        int line_number = 3;
        while (start < keys.size()) {
            const std::size_t end = keys.find('\n', start) + 1;
            const std::string name = keys.substr(start, keys.find(' ', start) - start);
            for (const char* value : {"1979-05-27", "{ a = 1 }", "[[]]"}) {
                const auto loaded = reading_with(
                    keys.substr(0, start) + name + " = " + value + "\n" + keys.substr(end), any_scale());
                INFO(what << ": " << name << " = " << value << "\n" << to_string(loaded.errors));
                REQUIRE_FALSE(loaded);
                for (const FileError& error : loaded.errors) CHECK(error.spot.line == line_number);
            }
            start = end;
            ++line_number;
        }
    }
}

TEST_CASE("A reading must say what it is") {
    require_only(reading_with("load = \"empty\""),
                 {ErrorKind::missing_key, 2, "#1 what", "\"weight\", \"signal\""});
    require_only(reading_with("what = \"wieght\""),
                 {ErrorKind::out_of_range, 3, "what", "nearest is \"weight\""});
}

TEST_CASE("Cells and supports that the scale has not") {
    for (const auto what : quantity_words) {
        if (what == "weight") continue;
        std::string keys = valid_reading(what);
        keys.replace(keys.find("cell = 1"), 8, "cell = 5");
        const auto loaded = reading_with(keys, any_scale());
        INFO(what << "\n" << to_string(loaded.errors));
        REQUIRE(loaded.errors.size() == 1);
        CHECK(loaded.errors[0].kind == ErrorKind::out_of_range);
        CHECK(loaded.errors[0].spot.line == 4);
        CHECK(loaded.errors[0].message == "must be a cell's number, at least 1 and at most 4");
    }
    require_only(
        reading_with("what = \"inspection\"\nlook = \"gap at support\"\nsupport = 5\nfound = \"not\""),
        {ErrorKind::out_of_range, 5, "support", "a support's number, at least 1 and at most 4"});
}

TEST_CASE("Exactly one value") {
    const std::string signal = "what = \"signal\"\ncell = 1\nload = \"empty\"\nconnected = false\n";
    require_only(reading_with(signal),
                 {ErrorKind::missing_key, 2, "#1", "value_mV or value_mV_per_V, or shown"});
    require_only(reading_with(signal + "value_mV = 1\nvalue_mV_per_V = 0.1"),
                 {ErrorKind::impossible, 8, "value_mV_per_V", "only one value"});
    require_only(reading_with(signal + "value_mV = 1\nshown = \"over range\""),
                 {ErrorKind::impossible, 8, "shown", "stands beside value_mV"});
    require_only(reading_with(signal + "shown = \"over range\"\nuncertainty = 1"),
                 {ErrorKind::impossible, 8, "uncertainty", "must be left out beside shown"});
    const auto other = reading_with(signal + "value = 1");
    require_among(other,
                  {ErrorKind::unknown_key, 7, "value", "nearest is value_mV; value belongs to weight"});
    require_among(other, {ErrorKind::missing_key, 2, "#1", "value_mV or value_mV_per_V"});
}

TEST_CASE("A display shows in place of a value only what it can") {
    const auto shown = [](std::string_view what, const char* word) {
        std::string keys = valid_reading(what);
        const std::size_t value = keys.find("value");
        keys.replace(value, keys.find('\n', value) - value, std::string("shown = \"") + word + '"');
        return reading_with(keys, any_scale());
    };
    const struct {
        const char* what;
        bool under_range;
        bool blank;
    } displays[] = {{"weight", true, true},
                    {"signal", true, false},
                    {"resistance", false, false},
                    {"excitation", false, false},
                    {"channel", true, true}};
    for (const auto& display : displays) {
        INFO(display.what);
        CHECK(shown(display.what, "over range").value.has_value());
        CHECK(shown(display.what, "under range").value.has_value() == display.under_range);
        CHECK(shown(display.what, "blank").value.has_value() == display.blank);
        CHECK_FALSE(shown(display.what, "9960").value.has_value());
    }
}

TEST_CASE("Two different wires") {
    const auto between = [](const char* wires) {
        return reading_with(std::string("what = \"resistance\"\ncell = 1\nbetween = ") + wires +
                            "\nvalue_ohm = 390");
    };
    require_only(between("[\"E+\", \"E+\"]"), {ErrorKind::impossible, 5, "between", "names one wire twice"});
    require_only(between("[\"E+\"]"), {ErrorKind::wrong_type, 5, "between", "two different wires"});
    require_only(between("[\"E+\", \"E-\", \"S+\"]"),
                 {ErrorKind::wrong_type, 5, "between", "two different wires"});
    require_only(between("[\"E+\", \"e-\"]"),
                 {ErrorKind::out_of_range, 5, "between", "one of \"E+\", \"E-\""});
    require_only(between("[\"E+\", 2]"), {ErrorKind::wrong_type, 5, "between", "one of \"E+\", \"E-\""});
    require_only(between("\"E+ E-\""), {ErrorKind::wrong_type, 5, "between", "two different wires"});
}

TEST_CASE("A signal's own excitation is for a lifted cell") {
    const std::string keys =
        "what = \"signal\"\ncell = 1\nload = \"empty\"\nvalue_mV = 1\nexcitation_V = 9\n";
    CHECK(reading_with(keys + "connected = false"));
    require_only(reading_with(keys + "connected = true"),
                 {ErrorKind::impossible, 7, "excitation_V", "connected = false only"});
    require_only(reading_with(keys + "connected = \"no\""),
                 {ErrorKind::wrong_type, 8, "connected", "true or false"});
}

TEST_CASE("A place is said once") {
    require_only(reading_with("what = \"excitation\"\ncell = 1\nat = \"box\"\nvalue_V = 9"),
                 {ErrorKind::impossible, 5, "at", "only one of cell and at"});
    require_only(reading_with("what = \"excitation\"\nvalue_V = 9"),
                 {ErrorKind::missing_key, 2, "cell", "at = \"box\" or at = \"indicator\""});
    require_only(reading_with("what = \"excitation\"\nat = \"bix\"\nvalue_V = 9"),
                 {ErrorKind::out_of_range, 4, "at", "nearest is \"box\""});
    const std::string look = "what = \"inspection\"\nfound = \"not\"\n";
    require_only(reading_with(look + "look = \"gap at support\"\nsupport = 1\ncell = 1"),
                 {ErrorKind::impossible, 7, "cell", "must be left out beside support"});
    require_only(reading_with(look + "look = \"end gap\"\ncell = 1"),
                 {ErrorKind::impossible, 6, "cell", "the whole deck's"});
    require_only(reading_with(look + "look = \"gap at support\""),
                 {ErrorKind::missing_key, 2, "support", "a support's number"});
    require_among(reading_with(look + "look = \"load arrow\"\nsupport = 1"),
                  {ErrorKind::impossible, 6, "support", "give cell instead"});
    const std::string colours = look + "look = \"wire colours\"\ncell = 1\n";
    require_only(reading_with(colours + "exchanged = [\"S+\"]"),
                 {ErrorKind::wrong_type, 7, "exchanged", "a list of two different wires"});
    require_only(reading_with(colours + "exchanged = [\"S+\", \"shield\"]"),
                 {ErrorKind::out_of_range, 7, "exchanged", "one of \"E+\", \"E-\", \"S+\", \"S-\""});
    require_only(reading_with(colours + "exchanged = [\"S+\", \"S+\"]"),
                 {ErrorKind::impossible, 7, "exchanged", "names one wire twice"});
    require_only(reading_with(look + "look = \"trim\"\ncell = 1\nexchanged = [\"S+\", \"S-\"]"),
                 {ErrorKind::impossible, 7, "exchanged", "\"wire colours\""});
    require_only(reading_with("what = \"inspection\"\nfound = \"as it should be\"\nlook = \"wire "
                              "colours\"\ncell = 1\nexchanged = [\"S+\", \"S-\"]"),
                 {ErrorKind::impossible, 7, "exchanged", "found = \"not\""});
    require_only(reading_with(look + "look = \"load arows\"\ncell = 1"),
                 {ErrorKind::out_of_range, 5, "look", "nearest is \"load arrow\""});
}

TEST_CASE("The top of a sheet and its instruments") {
    require_only(reading_with("what = \"weight\"\nload = { mass = 1000, over = 1 }\nvalue = 0\n"
                              "zero_set = true"),
                 {ErrorKind::impossible, 6, "zero_set", "load = \"empty\""});
    require_only(parse_sheet("zeroed = \"now\"\n", "sheet.toml", sources_with(sheet_scale())),
                 {ErrorKind::missing_key, 0, "scale", "path of a scale file"});
    require_only(sheet_with("zeroed = \"after\"\n"),
                 {ErrorKind::out_of_range, 2, "zeroed", "\"before\", \"now\""});
    require_only(sheet_with("history = \"old\"\n"),
                 {ErrorKind::out_of_range, 2, "history", "\"calibrated\", \"new\""});
    require_only(sheet_with("reading = 3\n"), {ErrorKind::wrong_type, 2, "reading", "[[reading]]"});
    require_only(sheet_with("[[readings]]\n"), {ErrorKind::unknown_key, 2, "readings", "nearest is reading"});
    require_only(sheet_with("instruments = 3\n"), {ErrorKind::wrong_type, 2, "instruments", "table"});
    require_only(sheet_with("[instruments]\nohmeter_percent = 1\n"),
                 {ErrorKind::unknown_key, 3, "[instruments] ohmeter_percent", "nearest is ohmmeter_percent"});
    for (const InstrumentKey& key : instrument_keys()) {
        for (const char* value : {"-1", "1e9", "nan", "\"1\""}) {
            const auto loaded = sheet_with("[instruments]\n" + std::string(key.name) + " = " + value + "\n");
            INFO(key.name << " = " << value);
            REQUIRE(loaded.errors.size() == 1);
            CHECK(loaded.errors[0].spot.line == 3);
            CHECK(loaded.errors[0].message.find(range_text(key.range, key.unit)) != std::string::npos);
        }
    }
}

TEST_CASE("Errors of the scale file carry its name, and those of the sheet are still found") {
    ScaleText broken = sheet_scale();
    broken.set("deck", "width_m", "-2.5").set("", "division", "30");
    const auto loaded = reading_with("what = \"weight\"\nload = { mass = 100, over = 3 }\nvlue = 7", broken);
    INFO(to_string(loaded.errors));
    REQUIRE(loaded.errors.size() == 4);
    CHECK(loaded.errors[0].file == "sheet.toml");
    CHECK(loaded.errors[1].file == "sheet.toml");
    CHECK(loaded.errors[1].spot.line == 5);
    CHECK(loaded.errors[2].file == "yard.toml");
    CHECK(loaded.errors[2].spot.line == 4);
    CHECK(loaded.errors[3].file == "yard.toml");
    CHECK(loaded.errors[3].spot.line == broken.line_of("deck", "width_m"));
    CHECK_FALSE(loaded.unreadable());
}

TEST_CASE("Warnings of the scale file come with the sheet") {
    ScaleText odd = sheet_scale();
    odd.set("", "division", "1");
    const auto loaded = sheet_with("", odd);
    REQUIRE(loaded);
    REQUIRE(loaded.warnings.size() == 1);
    CHECK(loaded.warnings[0].file == "yard.toml");
}

TEST_CASE("All errors of a sheet are reported at once, in the order of its lines") {
    const auto loaded = sheet_with(
        "zeroed = 1\n"                                                     // 2
        "[[reading]]\nwhat = \"weight\"\nload = { mass = 1, over = 9 }\n"  // 3 to 5
        "value = \"9960\"\n"                                               // 6
        "[[reading]]\nwhat = \"sginal\"\n"                                 // 7, 8
        "[[reading]]\nwhat = \"excitation\"\ncell = 0\nvalue_V = 1000\n"   // 9 to 12
        "[instruments]\nplacing_m = -1\n");                                // 13, 14
    INFO(to_string(loaded.errors));
    const Expected expected[] = {{ErrorKind::wrong_type, 2, "zeroed", "must be text"},
                                 {ErrorKind::out_of_range, 5, "#1 load.over", "at most 4"},
                                 {ErrorKind::wrong_type, 6, "#1 value", "must be a number"},
                                 {ErrorKind::out_of_range, 8, "#2 what", "nearest is \"signal\""},
                                 {ErrorKind::out_of_range, 11, "#3 cell", "at least 1"},
                                 {ErrorKind::out_of_range, 12, "#3 value_V", "at most 100 (V)"},
                                 {ErrorKind::out_of_range, 14, "placing_m", "at least 0"}};
    REQUIRE(loaded.errors.size() == std::size(expected));
    for (std::size_t i = 0; i < std::size(expected); ++i) {
        INFO(expected[i].key);
        CHECK(matches(loaded.errors[i], expected[i]));
    }
}
