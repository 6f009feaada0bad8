#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <regex>

#include "sim/field/fault_effect.h"
#include "sim/field/possible_checks.h"
#include "sim/field/simulated_sheet.h"
#include "sim/report/table.h"
#include "sim/training/atlas.h"
#include "tests/cli/command_line.h"
#include "tests/report/html_checking.h"

using namespace cornerbench;
using namespace cornerbench::cli;

namespace fs = std::filesystem;

TEST_CASE("the atlas' numbers are those of corners and of diagnose", "[training]") {
    const std::string path = config("scales/sawmill-4.toml");
    const fs::path folder = fs::temp_directory_path() / "cornerbench-atlas-test";
    fs::remove_all(folder);
    fs::create_directories(folder);
    for (const std::string words :
         {"loose-terminal cell=2 wire=S+ ohm=38", "rubbing support=1 kN_per_mm=15 limit_kN=8",
          "open-wire cell=3 wire=E-", "settled-footing support=4 mm=2"}) {
        CAPTURE(words);
        const auto entry = ask({"atlas", path, words, "--json"}).json()["causes"][0];
        const auto corners = ask({"corners", path, "--with", words, "--unrounded", "--json"}).json();
        REQUIRE(entry["supports"].size() == corners["supports"].size());
        for (std::size_t i = 0; i < corners["supports"].size(); ++i) {
            const auto& shown = corners["supports"][i];
            CHECK(entry["supports"][i]["error"] == shown["error_before_rounding"]);
            CHECK(entry["supports"][i]["within"] == shown["within"]);
        }
        for (const bool all : {false, true}) {
            const std::string sheet = (folder / "sheet.toml").string();
            REQUIRE(ask({"sheet", path, "--with", words, "--exact", "--readings", all ? "all" : "corners",
                         "-o", sheet, "--force"})
                        .code == 0);
            const auto found = ask({"diagnose", sheet, "--json"}).json();
            double probability = 0.0;
            for (const auto& cause : found["causes"]) {
                const std::string name = words.substr(0, words.find(' '));
                const int place = words[words.find('=') + 1] - '0';
                if (cause["name"] != name || cause.contains("with")) continue;
                const auto& where = cause["where"];
                if (where.value("cell", where.value("support", 0)) == place)
                    probability = cause["probability"];
            }
            // The sheet's file keeps twelve figures.
            CHECK(entry[all ? "by_full_sheet" : "by_corner_weights"].get<double>() ==
                  Approx(probability).margin(2.0e-3));
        }
    }
    fs::remove_all(folder);
}

TEST_CASE(
    "every cause that a scale can have stands in its atlas, in pictures without anything from elsewhere",
    "[training][long]") {
    const fs::path file = fs::temp_directory_path() / "cornerbench-atlas-test.html";
    fs::remove(file);
    const std::string path = config("scales/sawmill-4.toml");
    REQUIRE(ask({"atlas", path, "-o", file.string()}).code == 0);
    CHECK(ask({"atlas", path, "-o", file.string()}).code == 4);
    std::ifstream in(file);
    const std::string html(std::istreambuf_iterator<char>(in), {});
    const scale::Description d = files::load_scale(path).value->description;
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<scale::Cause>(i);
        const std::string section = std::string("<section id=\"") + scale::name_of(cause) + "\">";
        CAPTURE(section);
        CHECK((html.find(section) != std::string::npos) ==
              (cause != scale::Cause::unlisted && scale::possible(d, cause)));
    }
    for (const char* elsewhere : {"src=", "@import", "<script", "url(", "http-equiv"}) {
        CHECK(html.find(elsewhere) == std::string::npos);
    }
    fs::remove(file);
}

TEST_CASE("a validator finds nothing wrong with an atlas", "[training][long]") {
    if (!report::program_is_there("tidy")) {
        std::cout << "[SKIPPED] no tidy (Debian package tidy)\n";
        return;
    }
    const std::string file = (fs::temp_directory_path() / "cornerbench-atlas-tidy.html").string();
    for (const char* scale : {"quarry-8", "harbour-8", "sawmill-4"}) {
        CAPTURE(scale);
        REQUIRE(
            ask({"atlas", config("scales/" + std::string(scale) + ".toml"), "-o", file, "--force"}).code ==
            0);
        CHECK(report::tidy_findings(file) == "");
    }
    fs::remove(file);
    fs::remove(file + ".said");
}

TEST_CASE("an atlas' pictures are told in words, and its letters are dark enough", "[training][long]") {
    // WCAG 2.1, 1.1.1 (non-text content), 1.3.1 (structure), 1.4.3 (contrast of at least 4.5 to 1), 3.1.1.
    const std::string file = (fs::temp_directory_path() / "cornerbench-atlas-words.html").string();
    REQUIRE(ask({"atlas", config("scales/quarry-8.toml"), "-o", file, "--force"}).code == 0);
    const std::string page = report::text_of(file);
    fs::remove(file);
    CHECK(page.find("<html lang=\"en\">") != std::string::npos);
    CHECK(report::count(page, "<h1") == 1);
    CHECK(report::count(page, "<svg") > 20);
    CHECK(report::count(page, "role=\"img\"") == report::count(page, "<svg"));
    CHECK(report::count(page, "<title>") == report::count(page, "<svg") + 1);
    int level = 0;
    const std::regex heading("<h([1-6])");
    for (std::sregex_iterator it(page.begin(), page.end(), heading), end; it != end; ++it) {
        const int next = std::stoi((*it)[1]);
        CHECK(next <= level + 1);
        level = next;
    }
    const std::regex letters("(?:[; {\"]color|fill): ?\"?(#[0-9a-f]{3,6})");
    int colours = 0;
    for (std::sregex_iterator it(page.begin(), page.end(), letters), end; it != end; ++it) {
        const std::string colour = (*it)[1];
        if (colour == "#fff" || colour == "#f2f2f2") continue;
        CAPTURE(colour);
        ++colours;
        CHECK((1.0 + 0.05) / (report::luminance(colour) + 0.05) >= 4.5);
    }
    CHECK(colours > 0);
}

TEST_CASE("a checker of accessibility finds nothing wrong with an atlas", "[training][browser]") {
    if (report::axe_script().empty()) {
        std::cout << "[SKIPPED] no axe-core (CORNERBENCH_AXE names its axe.min.js) or no browser\n";
        return;
    }
    const fs::path folder = fs::temp_directory_path() / "cornerbench-atlas-axe";
    fs::create_directories(folder);
    const std::string file = (folder / "atlas.html").string();
    REQUIRE(ask({"atlas", config("scales/sawmill-4.toml"), "-o", file, "--force"}).code == 0);
    CHECK(report::axe_violations(report::text_of(file), folder.string()) == 0);
    fs::remove_all(folder);
}

// Statics: a support that carries the whole load at its corner; upside down it takes away what it should add.
TEST_CASE("the atlas shows the signatures that statics give", "[training]") {
    const files::ScaleFile scale = *files::load_scale(config("scales/quarry-8.toml")).value;
    const files::Standard standard = *files::find_standard(scale.standard, scale.path).value;
    const auto of = [&](scale::Cause cause) {
        return training::atlas_entry(scale, standard, training::example_of(scale.description, cause));
    };
    const training::AtlasEntry reversed = of(scale::Cause::upside_down);
    CHECK(reversed.worst_support == 0);
    // Common practice, no source: a reversed cell loses twice its share, and nearly all of a corner's load
    // stands on it.
    CHECK(reversed.test.supports[0].exact_error_kg == Approx(-2.0 * reversed.test.mass_kg).epsilon(0.05));
    scale::Fault contact = training::example_of(scale.description, scale::Cause::rubbing);
    contact.magnitude = {15.0e6, 2.5e3};
    const training::AtlasEntry rubbing = training::atlas_entry(scale, standard, contact);
    // Friction holds back what it held before: coming down differs from going up (common practice, no
    // source).
    CHECK(std::fabs(rubbing.by_load[2].down_kg - rubbing.by_load[2].up_kg) > scale.description.division_kg);
    // The same load at the same place, found by way of the corner round and without it.
    CHECK(reversed.near_support == 0);
    CHECK(reversed.by_load[2].up_kg ==
          Approx(reversed.test.supports[0].exact_error_kg).margin(0.01 * scale.description.division_kg));
    // Ohm's law: 200 ohm before a bridge of some 390 ohm take a third of its excitation, and the lifted cell
    // is as it was.
    scale::Fault screw = training::example_of(scale.description, scale::Cause::loose_terminal);
    REQUIRE(screw.variant.a == scale::Wire::excitation_plus);
    screw.magnitude = {200.0};
    const training::AtlasEntry loose = training::atlas_entry(scale, standard, screw);
    REQUIRE(loose.signs.size() >= 2);
    const training::MeterSign& volts = loose.signs.front();
    CHECK(volts.reading.quantity == diagnosis::Quantity::excitation);
    CHECK(volts.reading.place == diagnosis::ExcitationPlace::cell);
    const double bridge_ohm = scale.description.cells[0].input_ohm;
    CHECK(volts.reading.value / volts.sound.value == Approx(bridge_ohm / (bridge_ohm + 200.0)).epsilon(0.15));
    CHECK(volts.standardised < -3.0);
    for (const training::MeterSign& sign : loose.signs) {
        if (!sign.unchanged) continue;
        CHECK(sign.reading.cell == 0);
        CHECK(sign.reading.value == Approx(sign.sound.value).epsilon(1.0e-6));
    }
    CHECK(loose.signs.back().unchanged);
    const training::AtlasEntry sound = of(scale::Cause::healthy);
    CHECK(sound.signs.empty());
    CHECK(sound.test.within());
    CHECK(std::fabs(sound.left_at_zero_kg) < 1.0e-3);
    CHECK(sound.by_all > 0.5);
}

TEST_CASE("what tells causes apart in an atlas reads as its own sheet does", "[training][long]") {
    for (const char* name : {"scales/quarry-8.toml", "scales/sawmill-4.toml"}) {
        const files::ScaleFile scale = *files::load_scale(config(name)).value;
        const scale::Description& d = scale.description;
        const files::Standard standard = *files::find_standard(scale.standard, scale.path).value;
        field::SheetSetting exact;
        exact.noisy = false;
        exact.scatter = field::no_scatter;
        int compared = 0;
        for (const scale::Cause cause :
             {scale::Cause::rubbing, scale::Cause::wet_leak, scale::Cause::loose_terminal,
              scale::Cause::settled_footing, scale::Cause::weak_output}) {
            const scale::Fault fault = training::example_of(d, cause);
            CAPTURE(name, scale::name_of(cause));
            // It is large enough to be seen at all.
            CHECK(field::largest_effect(d, fault, 1, exact) >= 10.0);
            const training::AtlasEntry entry = training::atlas_entry(scale, standard, fault);
            const field::SimulatedSheet sheet = field::simulate_sheet(d, {&fault, 1}, 1, {}, exact);
            for (const training::Lookalike& like : entry.like_it) {
                for (const diagnosis::Reading& r : sheet.readings) {
                    if (like.told_by.empty() || like.here.direction != r.direction ||
                        !field::same_check(r, like.here))
                        continue;
                    ++compared;
                    CHECK(like.here.shown == r.shown);
                    CHECK(like.here.value == Approx(r.value).epsilon(1.0e-6).margin(0.01 * d.division_kg));
                }
            }
        }
        CHECK(compared > 0);
    }
}

TEST_CASE("the atlas keeps to 80 columns", "[training][long]") {
    for (const char* scale : {"scales/sawmill-4.toml", "scales/harbour-8.toml"}) {
        for (const char* cause : {"", "rubbing", "open-wire"}) {
            std::vector<std::string> words{"atlas", config(scale)};
            if (*cause != 0) words.emplace_back(cause);
            std::istringstream lines(ask(words).out);
            for (std::string line; std::getline(lines, line);) {
                CAPTURE(scale, cause, line);
                CHECK(report::display_width(line) <= report::page_width);
            }
        }
    }
}
