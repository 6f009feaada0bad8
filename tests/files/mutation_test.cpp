#include <catch2/catch.hpp>

#include <cerrno>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <string>
#include <string_view>

#include "sim/files/standard_folders.h"
#include "tests/files/error_matchers.h"
#include "tests/files/loaded_check.h"
#include "tests/files/test_sheet_check.h"

using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

/// A small generator with a printed seed (Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators", 2014).
class Dice {
  public:
    explicit Dice(std::uint64_t seed) : state_(seed) {}

    std::size_t below(std::size_t count) {
        state_ += 0x9e3779b97f4a7c15u;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
        return static_cast<std::size_t>((z ^ (z >> 31)) % count);
    }

  private:
    std::uint64_t state_;
};

/// One to four slips: a byte changed, dropped, doubled or inserted, a line dropped or doubled, a tail cut
/// off.
std::string mutated(std::string text, Dice& dice) {
    constexpr std::string_view bytes = "0123456789.-+eE_\"'[]{}=#,\\ \n\tainfx\xc2\x9b\xff";
    const std::size_t slips = 1 + dice.below(4);
    for (std::size_t i = 0; i < slips && !text.empty(); ++i) {
        const std::size_t at = dice.below(text.size());
        const char byte = bytes[dice.below(bytes.size())];
        const std::size_t line = text.rfind('\n', at) == std::string::npos ? 0 : text.rfind('\n', at) + 1;
        const std::size_t end =
            text.find('\n', at) == std::string::npos ? text.size() : text.find('\n', at) + 1;
        switch (dice.below(7)) {
            case 0:
                text[at] = byte;
                break;
            case 1:
                text.erase(at, 1);
                break;
            case 2:
                text.insert(at, 1, text[at]);
                break;
            case 3:
                text.insert(at, 1, byte);
                break;
            case 4:
                if (line < end) text.erase(line, end - line);
                break;
            case 5:
                if (line < end) text.insert(line, text.substr(line, end - line));
                break;
            default:
                if (dice.below(10) == 0) text.resize(at);
                break;
        }
    }
    return text;
}

constexpr const char* whole_sheet = R"(scale = "yard.toml"
zeroed = "before"
history = "calibrated"
[instruments]
ohmmeter_percent = 0.5
placing_m = 0.05
[[reading]]
what = "weight"
load = { mass = 10000, over = 3 }
value = 9960
direction = "decreasing"
from = { mass = 15000 }
uncertainty = 5
[[reading]]
what = "weight"
load = [{ mass = 500, at = [1.5, 2.0] }, { vehicle = "truck", position = 5, heading = "right" }]
shown = "over range"
[[reading]]
what = "signal"
cell = 3
load = "empty"
connected = false
excitation_V = 9.5
value_mV = 3.31
[[reading]]
what = "resistance"
cell = 3
between = ["E+", "S-"]
value_ohm = 291.4
[[reading]]
what = "excitation"
at = "indicator"
value_V = 9.87
[[reading]]
what = "inspection"
look = "gap at support"
support = 3
found = "not"
)";

template <class Check>
void mutate_often(const std::string& text, std::uint64_t seed, int rounds, Check violation_of) {
    Dice dice(seed);
    for (int round = 0; round < rounds; ++round) {
        const std::string changed = mutated(text, dice);
        const std::string violation = violation_of(changed);
        if (violation.empty()) continue;
        INFO("seed " << seed << ", round " << round << "\n" << changed);
        REQUIRE(violation == "");
    }
    SUCCEED("no mutation got through");
}

}  // namespace

TEST_CASE("No mutation of a scale file crashes, passes unfit or fails without saying where") {
    REQUIRE(scale_text_violation(ScaleText::full().text()).empty());
    REQUIRE(ScaleText::full().load());
    mutate_often(ScaleText::full().text() + "[[cells]]\nnumber = 2\ntrim_at = 3\ncapacity = 9000\n", 20240601,
                 4000, scale_text_violation);
    mutate_often(ScaleText::small().text(), 20240602, 4000, scale_text_violation);
}

TEST_CASE("No mutation of a sheet crashes, passes unfit or fails without saying where") {
    const auto whole = parse_sheet(whole_sheet, "sheet.toml", sources_with(sheet_scale()));
    INFO(to_string(whole.errors));
    REQUIRE(whole);
    mutate_often(whole_sheet, 20240603, 4000, sheet_text_violation);
}

TEST_CASE("No mutation of a vehicle crashes, passes unfit or fails without saying where") {
    REQUIRE(parse_vehicle(sheet_vehicle, "truck.toml"));
    mutate_often(sheet_vehicle, 20240604, 4000, vehicle_text_violation);
}

TEST_CASE("No mutation of priors crashes, passes unfit or fails without saying where") {
    const std::string text =
        "healthy = 0.05\n[causes]\nwet-leak = 10\nloose-terminal = 2.5\naltered-cable = 0.2\n"
        "wrong-cell = 0\nunlisted = 1\n";
    REQUIRE(parse_priors(text, "priors.toml", sheet_scale().load().value->description));
    REQUIRE(priors_text_violation(text).empty());
    mutate_often(text, 20240606, 4000, priors_text_violation);
}

TEST_CASE("No mutation of a standard crashes, passes unfit or fails without saying where") {
    for (const char* name : {"OIML R 76", "NIST Handbook 44", "in-plant"}) {
        const std::string text(compiled_in_standard(standard_file_name(name)));
        INFO(name);
        REQUIRE(parse_standard(text, "standard.toml"));
        REQUIRE(standard_text_violation(text).empty());
        mutate_often(text, 20240607, 3000, standard_text_violation);
    }
}

TEST_CASE("No mutation of a cells' standard crashes, passes unfit or fails without saying where") {
    const std::string text(compiled_in_standard(cell_standard_file_name));
    REQUIRE(parse_cell_standard(text, "cells.toml"));
    REQUIRE(cell_standard_text_violation(text).empty());
    mutate_often(text, 20240609, 3000, cell_standard_text_violation);
}

TEST_CASE("No mutation of a test sheet crashes, passes unfit or is judged without numbers") {
    for (const char* name : {"quarry-verification.toml", "sawmill-corners.toml"}) {
        std::ifstream file(CORNERBENCH_SOURCE_DIR "/configs/tests/" + std::string(name));
        const std::string text{std::istreambuf_iterator<char>(file), {}};
        INFO(name);
        REQUIRE(test_sheet_text_violation(text).empty());
        mutate_often(text, 20240610, 300, test_sheet_text_violation);
    }
}

TEST_CASE("No mutation of a fault in words crashes, passes unfit or answers with what moves the cursor") {
    for (const char* words :
         {"loose-terminal cell=3 wire=S+ ohm=38", "wet-leak cell=2 wires=S+,shield ohm=2e5",
          "swapped-cells cells=1,3", "rubbing end=left kN_per_mm=15 limit_kN=2.5",
          "damaged-arm cell=1 arm=2 ohm=5", "home-run-loose wire=E+ ohm=1.5",
          "settled-footing support=4 mm=3", "healthy"}) {
        INFO(words);
        REQUIRE(fault_words_violation(words).empty());
        mutate_often(words, 20240608, 1500, fault_words_violation);
    }
    CHECK(fault_words_violation("loose-terminal\x1b[2J cell=3").empty());
    CHECK(fault_words_violation(std::string(100000, 'x')).empty());
    CHECK(fault_words_violation(std::string(150, '=') + "\xc2\x9b").empty());
}

TEST_CASE("No mutation of a load in words crashes, passes unfit or answers with what moves the cursor") {
    for (const char* words :
         {"mass=1000 over=3", "mass=500 at=[1.5, 0.8]", "mass=1000 section=2\nmass=10 over=1",
          "vehicle=truck position=4 heading=left", "{ mass = 1000, over = 1 }\nempty", "empty"}) {
        INFO(words);
        REQUIRE(load_words_violation(words).empty());
        mutate_often(words, 20240609, 1500, load_words_violation);
    }
    CHECK(load_words_violation("mass=1\x1b[2J over=3").empty());
    CHECK(load_words_violation(std::string(100000, '{')).empty());
}

TEST_CASE("A garbled number is never replaced by another in silence") {
    // Whatever stands in the text as a number by TOML 1.0.0 and is accepted must be the number that arrives.
    constexpr std::string_view bytes = "0123456789.-+eE_x\"";
    Dice dice(20240605);
    int accepted = 0;
    for (const ScaleKey& key : scale_keys()) {
        const bool numeric =
            key.kind == KeyKind::number || key.kind == KeyKind::integer || key.kind == KeyKind::mass;
        if (!numeric || key.table == "cells" || key.table == "gravity") continue;
        for (int round = 0; round < 60; ++round) {
            ScaleText text = ScaleText::full();
            std::string value;
            for (const TextKey& original : text.keys()) {
                if (original.table == key.table && original.name == key.name) value = original.value;
            }
            const std::size_t at = dice.below(value.size());
            const char byte = bytes[dice.below(bytes.size())];
            if (dice.below(2) == 0) {
                value[at] = byte;
            } else {
                value.insert(at, 1, byte);
            }
            text.set(key.table, key.name, value);
            const auto loaded = text.load();
            INFO(key.table << " " << key.name << " = " << value << "\n" << to_string(loaded.errors));
            if (!loaded) {
                bool pointed = false;
                for (const FileError& error : loaded.errors) {
                    // Text in quotes that never close ends in the next line at the latest.
                    const int line = text.line_of(key.table, key.name);
                    pointed = pointed || error.spot.line == line || error.spot.line == line + 1;
                }
                // Resistances of a bridge, the parts of a trim and the ranges of a scale are judged together.
                const bool together = key.table == "box.trim" || key.name == "input_resistance_ohm" ||
                                      key.name == "max" || key.table == "finer" ||
                                      (key.table.empty() && key.name == "division");
                CHECK((pointed || together));
                continue;
            }
            std::string plain;
            for (const char c : value) {
                if (c != '_') plain += c;
            }
            char* end = nullptr;
            const double written = std::strtod(plain.c_str(), &end);
            // TOML also has 0x10; strtod reads it as TOML does.
            REQUIRE(*end == '\0');
            ScaleDraft draft;
            draft.file = *loaded.value;
            draft.cell = loaded.value->description.cells[0];
            CHECK(key.field.get(draft) / key.si_per_unit == Approx(written).epsilon(1.0e-12));
            ++accepted;
        }
    }
    CHECK(accepted > 200);
}
