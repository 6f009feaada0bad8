#include "sim/files/test_sheet.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "tests/cli/command_line.h"
#include "tests/files/scale_text.h"

using namespace cornerbench;
using files::PlaceKind;
using files::TestKind;

namespace {

const std::string path = cli::config("tests-of-tests.toml");

const std::string head = "scale = \"scales/quarry-8.toml\"\ndate = 2026-11-29\nweights = 20000\n";

files::TestSheet good(const std::string& text) {
    const auto loaded = files::parse_test_sheet(text, path);
    INFO(files::to_string(loaded.errors));
    REQUIRE(loaded);
    return *loaded.value;
}

std::string only_error(const std::string& text) {
    const auto loaded = files::parse_test_sheet(text, path);
    REQUIRE_FALSE(loaded);
    INFO(files::to_string(loaded.errors));
    REQUIRE(loaded.errors.size() == 1);
    return files::to_string(loaded.errors.front());
}

std::string line(const std::string& keys) {
    return head + "[[line]]\n" + keys;
}

}  // namespace

TEST_CASE("a test sheet is read with all that it says", "[files]") {
    const files::TestSheet sheet = good(
        "scale = \"scales/elevator-10.toml\"\nstandard = \"NIST Handbook 44\"\nstage = \"service\"\n"
        "date = \"2026-11-29\"\nsite = \"Pit 2\"\nby = \"N. N.\"\nweights = 25000\n"
        "[uncertainty]\ntest_weights_percent = 0.01\nrepeatability_d = 0.2\nplacing_m = 0.1\nadded_step_d = "
        "0.2\n"
        "[[line]]\ntest = \"zero\"\nindication = 0\nadded = 10\n"
        "[[line]]\ntest = \"eccentricity\"\nplace = \"support 10\"\nload = 25000\nindication = 24980\n"
        "[[line]]\ntest = \"weighing\"\nplace = \"spread\"\nload = 50000\nsubstitute = 25000\n"
        "direction = \"decreasing\"\nshown = \"over range\"\nnote = \"rain\"\n"
        "[[line]]\ntest = \"eccentricity\"\nplace = \"midspan 4\"\nload = 25000\nindication = \"\"\n");
    const double lb = 0.45359237;
    CHECK(sheet.date == "2026-11-29");
    CHECK(sheet.stage == files::Stage::service);
    CHECK(sheet.weights_kg == Approx(25000.0 * lb));
    CHECK(sheet.uncertainties.weights == Approx(1.0e-4));
    CHECK(sheet.uncertainties.added_step_divisions == 0.2);
    REQUIRE(sheet.lines.size() == 4);
    CHECK(*sheet.lines[0].added_kg == Approx(10.0 * lb));
    CHECK(sheet.lines[1].place == files::TestPlace{PlaceKind::support, 9});
    CHECK(*sheet.lines[1].indication_kg == Approx(24980.0 * lb));
    CHECK(sheet.lines[2].decreasing);
    CHECK(sheet.lines[2].substitute_kg == Approx(25000.0 * lb));
    CHECK(sheet.lines[2].shown == diagnosis::Shown::over_range);
    CHECK(sheet.lines[2].note == "rain");
    CHECK(sheet.lines[3].place == files::TestPlace{PlaceKind::midspan, 3});
    CHECK_FALSE(sheet.lines[3].indication_kg);
}

TEST_CASE("a written test sheet reads back as it was", "[files]") {
    files::TestSheet sheet = good(line("test = \"zero\"\nindication = -20\nadded = 4\n"));
    sheet.lines.push_back({TestKind::weighing, {PlaceKind::spread, 0}, 30000.0, 20000.0, true});
    sheet.lines.push_back({TestKind::discrimination, {PlaceKind::spread, 0}, 400.0});
    sheet.lines.back().indication_kg = 400.0;
    sheet.lines.back().after_kg = 440.0;
    sheet.lines.push_back({TestKind::eccentricity, {PlaceKind::section, 2}, 8580.0});
    sheet.lines.back().shown = diagnosis::Shown::blank;
    sheet.site = "a \"quoted\" place";
    const std::string text = files::test_sheet_text(sheet, "first\n\nsecond", {"", "limit 30 kg"});
    CHECK(text.find("# first\n#\n# second\n") == 0);
    CHECK(text.find("[[line]]  # limit 30 kg") != std::string::npos);
    const files::TestSheet back = good(text);
    CHECK(back.site == sheet.site);
    CHECK(back.date == "2026-11-29");
    REQUIRE(back.lines.size() == sheet.lines.size());
    for (std::size_t i = 0; i < back.lines.size(); ++i) {
        INFO("line " << i + 1);
        const files::TestLine& a = sheet.lines[i];
        const files::TestLine& b = back.lines[i];
        CHECK(a.test == b.test);
        CHECK(a.place == b.place);
        CHECK(a.load_kg == b.load_kg);
        CHECK(a.substitute_kg == b.substitute_kg);
        CHECK(a.decreasing == b.decreasing);
        CHECK(a.shown == b.shown);
        CHECK(a.indication_kg == b.indication_kg);
        CHECK(a.added_kg == b.added_kg);
        CHECK(a.after_kg == b.after_kg);
    }
}

TEST_CASE("errors of a test sheet name line, key, value and what would be valid", "[files]") {
    CHECK(only_error(line("test = \"zerro\"\n")).find("nearest is \"zero\"") != std::string::npos);
    CHECK(only_error(line("test = \"zero\"\nindcation = 1\n")).find("nearest is indication") !=
          std::string::npos);
    CHECK(only_error(line("test = \"weighing\"\nplace = \"support 9\"\nload = 1000\n"))
              .find("\"support 1\" to \"support 8\"") != std::string::npos);
    CHECK(only_error(line("test = \"weighing\"\nplace = \"spread\"\n")).find("load") != std::string::npos);
    CHECK(only_error(line("test = \"weighing\"\nload = 100\n")).find("place") != std::string::npos);
    CHECK(only_error(line("test = \"weighing\"\nplace = \"spread\"\nload = 100\nsubstitute = 200\n"))
              .find("at most as much") != std::string::npos);
    CHECK(only_error(line("test = \"zero\"\nindication = 0\nshown = \"blank\"\n")).find("one of them") !=
          std::string::npos);
    CHECK(only_error(line("test = \"zero\"\nadded = 2\n")).find("needs the indication") != std::string::npos);
    CHECK(only_error(line("test = \"zero\"\nindication = 0\nadded = 50\n")).find("at most 30 (kg)") !=
          std::string::npos);
    CHECK(only_error(line("test = \"zero\"\nindication = 0\nafter = 20\n")).find("discrimination") !=
          std::string::npos);
    CHECK(only_error(line("test = \"zero\"\nindication = \"much\"\n")).find(":6:") != std::string::npos);
    CHECK(only_error("scale = \"scales/quarry-8.toml\"\ndate = \"29.11.2026\"\n[[line]]\ntest = \"zero\"\n")
              .find("such as 2026-11-29") != std::string::npos);
    CHECK(only_error("scale = \"scales/nowhere.toml\"\n[[line]]\ntest = \"zero\"\n").find("nowhere.toml") !=
          std::string::npos);
    CHECK(only_error("[deck]\n").find("makes this a scale file") != std::string::npos);
}

TEST_CASE("a sheet takes only weights that the display can show", "[files]") {
    // OIML R 76-1:2006, 3.2 and T.3.2 (from memory): a display goes by whole divisions; here 20 kg.
    const auto corner = [](const std::string& shown) {
        return line("test = \"eccentricity\"\nplace = \"support 1\"\nload = 8580\nindication = " + shown +
                    "\n");
    };
    const std::string error = only_error(corner("8590"));
    CHECK(error.find(":8:") != std::string::npos);
    CHECK(error.find("indication = 8590") != std::string::npos);
    CHECK(error.find("divisions of 20 kg") != std::string::npos);
    CHECK(error.find("8580 or 8600") != std::string::npos);
    CHECK(only_error(corner("-10")).find("-20 or 0") != std::string::npos);
    good(corner("8580"));
    good(corner("-20"));
    const auto step = [](const std::string& after) {
        return line("test = \"discrimination\"\nplace = \"spread\"\nload = 400\nindication = 400\nafter = " +
                    after + "\n");
    };
    CHECK(only_error(step("428")).find("420 or 440") != std::string::npos);
    good(step("440"));
    // In tonnes and pounds a division is no round number inside.
    const auto spread = [](const std::string& scale, const std::string& load, const std::string& shown) {
        return "scale = \"scales/" + scale +
               ".toml\"\n[[line]]\ntest = \"weighing\"\nplace = \"spread\"\nload = " + load +
               "\nindication = " + shown + "\n";
    };
    good(spread("sawmill-4", "29.99", "29.99"));
    CHECK(only_error(spread("sawmill-4", "29.99", "29.985")).find("29.98 or 29.99") != std::string::npos);
    good(spread("elevator-10", "199980", "199980"));
    CHECK(only_error(spread("elevator-10", "199980", "199990")).find("199980 or 200000") !=
          std::string::npos);
}

TEST_CASE("each range of a multi-interval scale shows its own divisions", "[files]") {
    // OIML R 76-1:2006, T.3.2.6 (from memory): Max 10/20 t, d 5/10 kg.
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "cornerbench-two-ranges";
    fs::create_directories(folder);
    std::ofstream(folder / "scale.toml") << files::testing::ScaleText::small()
                                                .set("finer", "up_to", "10000")
                                                .set("finer", "division", "5")
                                                .text();
    const auto read = [&](const std::string& shown) {
        return files::parse_test_sheet(
            "scale = \"scale.toml\"\n[[line]]\ntest = \"weighing\"\nplace = \"spread\"\nload = "
            "10000\nindication = " +
                shown + "\n",
            (folder / "day.toml").string());
    };
    for (const char* shown : {"9995", "10000", "10010", "-5"}) {
        const auto loaded = read(shown);
        INFO(files::to_string(loaded.errors));
        CHECK(loaded);
    }
    for (const char* shown : {"9992", "10005"}) CHECK_FALSE(read(shown));
    CHECK(files::to_string(read("10005").errors).find("10000 or 10010") != std::string::npos);
    fs::remove_all(folder);
}
