#include <catch2/catch.hpp>
#include <filesystem>
#include <sstream>

#include "sim/commissioning/survey.h"
#include "tests/cli/command_line.h"
#include "tests/commissioning/desk.h"

// What a day of tests hands on to a diagnosis and a trim plan.

using namespace cornerbench;
using files::PlaceKind;
using files::TestKind;
using files::TestLine;

TEST_CASE("what a survey hands over is what diagnose and trim take", "[cli][commissioning]") {
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "cornerbench-survey-test";
    fs::remove_all(folder);
    fs::create_directories(folder);
    const std::string sheet = (folder / "day.toml").string();
    const std::string readings = (folder / "readings.toml").string();
    CHECK(cli::ask({"plan", cli::config("scales/quarry-8.toml"), "--with",
                    "loose-terminal cell=5 wire=S+ ohm=60", "-o", sheet})
              .code == 0);
    const cli::Answer survey = cli::ask({"survey", sheet, "--readings", readings});
    CHECK(survey.code == 1);
    CHECK(survey.says("cornerbench diagnose " + readings));
    std::istringstream lines(survey.out);
    for (std::string each; std::getline(lines, each);) CHECK(each.size() <= 80);
    const auto document = cli::ask({"survey", sheet, "--json"}).json();
    CHECK(document["verdict"] == "fails");
    bool light = false;
    for (const auto& corner : document["corners_off"]) light = light || corner == 5;
    CHECK(light);
    const auto diagnosis = cli::ask({"diagnose", readings, "--json"}).json();
    CHECK(diagnosis["readings"] == 36);  // all lines but the three of discrimination
    CHECK(cli::ask({"trim", readings}).code == 0);
    CHECK(cli::ask({"survey", sheet, "--readings", readings}).code == 4);
    CHECK(cli::ask({"survey", cli::config("scales/quarry-8.toml")}).complains("makes this a scale file"));
    fs::remove_all(folder);
}

TEST_CASE("a survey hands over the day in its order, and where zero was set", "[commissioning]") {
    Desk d = desk("sawmill-4", files::Stage::verification);
    const auto handed = [&](std::vector<TestLine> lines) {
        d.sheet.lines = std::move(lines);
        return commissioning::readings_of(d.sheet, d.standard);
    };
    const auto line = [](TestKind test, files::TestPlace place, double load_kg, double shown_kg) {
        return read_line(test, place, load_kg, shown_kg, 5.0);
    };
    TestLine down = line(TestKind::weighing, spread, 5000.0, 5020.0);
    down.decreasing = true;
    TestLine unread = line(TestKind::weighing, spread, 9000.0, 0.0);
    unread.indication_kg.reset();
    TestLine substitute = line(TestKind::weighing, spread, 30000.0, 30000.0);
    substitute.substitute_kg = 20000.0;
    const auto out = handed(
        {line(TestKind::zero, {}, 0.0, 0.0),
         line(TestKind::eccentricity, {PlaceKind::midspan, 0}, 10000.0, 9990.0),
         line(TestKind::zero, {}, 0.0, 0.0), line(TestKind::weighing, spread, 20000.0, 20010.0), unread,
         substitute, down, line(TestKind::zero, {}, 0.0, 120.0),
         line(TestKind::discrimination, spread, 200.0, 190.0), line(TestKind::zero_return, {}, 0.0, 10.0)});
    CHECK(out.zeroed == diagnosis::Zeroed::now);
    REQUIRE(out.readings.size() == 7);
    std::vector<bool> zero_set;
    for (const diagnosis::Reading& r : out.readings) zero_set.push_back(r.zero_set);
    // A display that still showed twelve divisions was not zeroed.
    CHECK(zero_set == std::vector<bool>{false, false, true, false, false, false, false});
    CHECK(out.readings[1].load.count == 1);
    CHECK(out.readings[3].load.count == 4);
    CHECK(out.readings[3].load.total_kg() == Approx(20000.0));
    CHECK(out.readings[4].direction == diagnosis::Direction::decreasing);
    CHECK(out.readings[4].came_down_from == Approx(6.0));
    CHECK(out.readings[6].direction == diagnosis::Direction::returned);
    // At 20 t, 2 000 divisions of 10 kg, one division (OIML R 76-1:2006, table 6) over the root of three, and
    // a twentieth of one.
    CHECK(out.readings[3].uncertainty == Approx(5.8));
    CHECK(out.sheet().readings.size() == 7);
    CHECK(handed({line(TestKind::zero, {}, 0.0, 500.0)}).zeroed == diagnosis::Zeroed::before);
}

TEST_CASE("a support that rubs is told from its day of tests", "[cli][commissioning]") {
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "cornerbench-rubbing-day";
    fs::remove_all(folder);
    fs::create_directories(folder);
    for (const char* scale : {"sawmill-4", "quarry-8"}) {
        const std::string sheet = (folder / (std::string(scale) + ".toml")).string();
        const std::string readings = (folder / (std::string(scale) + "-readings.toml")).string();
        REQUIRE(
            cli::ask({"plan", cli::config("scales/" + std::string(scale) + ".toml"), "--simulate", "--seed",
                      "1", "--with", "rubbing support=2 kN_per_mm=15 limit_kN=2.5", "-o", sheet})
                .code == 0);
        REQUIRE(cli::ask({"survey", sheet, "--readings", readings}).code == 1);
        const auto first = cli::ask({"diagnose", readings, "--json"}).json()["causes"][0];
        CHECK(first["name"] == "rubbing");
        CHECK(first["where"]["support"] == 2);
        CHECK(first["probability"] > 0.9);
    }
    fs::remove_all(folder);
}
