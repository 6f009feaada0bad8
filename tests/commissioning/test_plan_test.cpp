#include "sim/commissioning/test_plan.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <set>
#include <sstream>

#include "tests/cli/command_line.h"
#include "tests/files/scale_text.h"

using namespace cornerbench;
using commissioning::limit_kg;
using commissioning::PlannedTest;
using commissioning::turning_point_kg;
using files::PlaceKind;
using files::Stage;
using files::TestKind;
using files::TestLine;

namespace {

struct Asked {
    files::ScaleFile scale;
    files::Standard standard;
};

Asked shipped(const std::string& name) {
    const auto scale = files::load_scale(cli::config("scales/" + name + ".toml"));
    REQUIRE(scale);
    const auto standard = files::find_standard(scale.value->standard, scale.value->path);
    REQUIRE(standard);
    return {*scale.value, *standard.value};
}

PlannedTest plan(const Asked& asked, double weights_kg, Stage stage = Stage::verification) {
    return commissioning::plan_tests(asked.scale, asked.standard, {stage, weights_kg});
}

int count(const PlannedTest& plan, TestKind kind, PlaceKind place) {
    int n = 0;
    for (const TestLine& line : plan.sheet.lines) n += line.test == kind && line.place.kind == place ? 1 : 0;
    return n;
}

}  // namespace

TEST_CASE("limits beside the lines are those of the worked values", "[commissioning][limits]") {
    // OIML R 76-1:2006, 3.5.1, for e = 20 kg; upper bounds belong to the lower band.
    const Asked quarry = shipped("quarry-8");
    const struct {
        double load;
        double limit;
    } rows[] = {{10000, 10}, {10020, 20}, {40000, 20}, {40020, 30}, {60000, 30}};
    for (const auto& row : rows) {
        CHECK(limit_kg(quarry.standard, quarry.scale, Stage::verification, row.load) == row.limit);
        CHECK(limit_kg(quarry.standard, quarry.scale, Stage::service, row.load) == 2.0 * row.limit);
    }
    // NIST Handbook 44, 2.20, table 6 (from memory): III L by 20 lb, 4 500 d 9 d and 10 000 d 20 d.
    const Asked elevator = shipped("elevator-10");
    const double lb = 0.45359237;
    CHECK(limit_kg(elevator.standard, elevator.scale, Stage::service, 90000.0 * lb) == Approx(180.0 * lb));
    CHECK(limit_kg(elevator.standard, elevator.scale, Stage::service, 200000.0 * lb) == Approx(400.0 * lb));
    // What is shown is judged: at acceptance half a division shows as none, so rounding allows as much.
    const double acceptance = limit_kg(elevator.standard, elevator.scale, Stage::verification, 8000.0 * lb);
    CHECK(acceptance == Approx(0.5 * 20.0 * lb));
    CHECK(turning_point_kg(elevator.standard, acceptance, 20.0 * lb) == Approx(0.5 * 20.0 * lb));
    const double maintenance = limit_kg(elevator.standard, elevator.scale, Stage::service, 8000.0 * lb);
    CHECK(maintenance == Approx(20.0 * lb));
    CHECK(turning_point_kg(elevator.standard, maintenance, 20.0 * lb) == Approx(1.5 * 20.0 * lb));
}

TEST_CASE("a multi-interval scale has the limits of each part", "[commissioning][limits]") {
    // OIML R 76-1:2006, 3.3 with 3.5.1 (restated in documents that cite it): Max 2/5/15 kg, e 1/2/10 g: 0.5 g
    // to 500 g, 1 g to 2 kg, 2 g to 4 kg, 3 g to 5 kg, 10 g to 15 kg. Here a thousand times as large.
    Asked quarry = shipped("quarry-8");
    scale::Description& d = quarry.scale.description;
    d.max_kg = 15000.0;
    d.division_kg = 10.0;
    d.finer[0] = {5000.0, 2.0};
    d.finer[1] = {2000.0, 1.0};
    const struct {
        double load;
        double limit;
    } rows[] = {{500, 0.5},  {501, 1.0},  {2000, 1.0},  {2002, 2.0},  {4000, 2.0},
                {4002, 3.0}, {5000, 3.0}, {5010, 10.0}, {15000, 10.0}};
    for (const auto& row : rows) {
        INFO(row.load);
        CHECK(limit_kg(quarry.standard, quarry.scale, Stage::verification, row.load) == Approx(row.limit));
    }
}

TEST_CASE("a plan has every place, both ways and the loads of the standard", "[commissioning]") {
    const Asked quarry = shipped("quarry-8");
    const PlannedTest with_all = plan(quarry, 0.0);
    CHECK(with_all.weights_suffice);
    CHECK(with_all.remarks.empty());
    CHECK(count(with_all, TestKind::eccentricity, PlaceKind::support) == 8);
    CHECK(count(with_all, TestKind::eccentricity, PlaceKind::section) == 4);
    CHECK(count(with_all, TestKind::eccentricity, PlaceKind::midspan) == 3);
    CHECK(count(with_all, TestKind::repeatability, PlaceKind::spread) == 6);
    // OIML R 76-1:2006, A.4.4.1 (from memory): at least five loads with Max, Min (20 e) and those where the
    // limit changes (500 e, 2 000 e); down again as well.
    std::set<double> up;
    std::set<double> down;
    for (const TestLine& line : with_all.sheet.lines) {
        if (line.test != TestKind::weighing) continue;
        (line.decreasing ? down : up).insert(line.load_kg);
        CHECK(line.substitute_kg == 0.0);
    }
    CHECK(up.size() >= 5);
    for (const double load : {400.0, 10000.0, 40000.0, 60000.0}) CHECK(up.count(load) == 1);
    CHECK(down.size() + 1 == up.size());
    CHECK(with_all.sheet.lines.size() == with_all.limits.size());
    // 8 supports: Max/7, in whole divisions (3.6.2.2).
    for (const TestLine& line : with_all.sheet.lines)
        if (line.test == TestKind::eccentricity && line.place.kind != PlaceKind::rolling)
            CHECK(line.load_kg == Approx(8580.0).margin(20.0));
}

TEST_CASE("a multi-interval scale is weighed where its limit changes, in every range", "[commissioning]") {
    // OIML R 76-1:2006, 3.3 with 3.5.1: 500 e1 and 2 000 e1 of the finer range, its end, 2 000 e2, Max; 500
    // e2 lies in the finer range, where the limit does not change.
    Asked quarry = shipped("quarry-8");
    quarry.scale.description.finer[0] = {30000.0, 10.0};
    std::set<double> up;
    for (const TestLine& line : plan(quarry, 0.0).sheet.lines) {
        if (line.test == TestKind::weighing) up.insert(line.load_kg);
        // The display steps by one division from before the small weights to after 1.4 d, with room for its
        // error.
        if (line.test == TestKind::discrimination)
            CHECK(quarry.scale.description.division_at_kg(line.load_kg) ==
                  quarry.scale.description.division_at_kg(line.load_kg + 5.0 * 20.0));
    }
    CHECK(up == std::set<double>{200.0, 5000.0, 20000.0, 30000.0, 40000.0, 60000.0});
    // With a third range the smallest loads are in its division.
    quarry.scale.description.finer[1] = {10000.0, 5.0};
    up.clear();
    for (const TestLine& line : plan(quarry, 0.0).sheet.lines)
        if (line.test == TestKind::weighing) up.insert(line.load_kg);
    for (const double load : {100.0, 2500.0, 10000.0, 20000.0, 30000.0, 40000.0, 60000.0})
        CHECK(up.count(load) == 1);
    CHECK(up.count(5000.0) == 0);
}

TEST_CASE("a plan has the rolling load of R 76 and the test pattern of Handbook 44", "[commissioning]") {
    // OIML R 76-1:2006, 3.6.2.4 (read in the text): a rolling load of at most 0.8 Max.
    const PlannedTest quarry = plan(shipped("quarry-8"), 0.0);
    CHECK(count(quarry, TestKind::eccentricity, PlaceKind::rolling) == 3);
    CHECK(count(quarry, TestKind::eccentricity, PlaceKind::pattern) == 0);
    for (const TestLine& line : quarry.sheet.lines)
        if (line.place.kind == PlaceKind::rolling) CHECK(line.load_kg == Approx(48000.0));
    // NIST Handbook 44, 2.20, N.1.3.3, UR.3.2.1 and S.5.1 (from memory): at most 0.9 CLC on the pattern; Max
    // is at most CLC (sections - 0.5), so CLC at least 200 000 lb / 4.5.
    const PlannedTest elevator = plan(shipped("elevator-10"), 0.0);
    CHECK(count(elevator, TestKind::eccentricity, PlaceKind::pattern) == 5);
    CHECK(count(elevator, TestKind::eccentricity, PlaceKind::rolling) == 0);
    const double lb = 0.45359237;
    for (const TestLine& line : elevator.sheet.lines)
        if (line.place.kind == PlaceKind::pattern)
            CHECK(line.load_kg <= 0.9 * 200000.0 / 4.5 * lb * (1.0 + 1.0e-9));
    const PlannedTest few = plan(shipped("quarry-8"), 20000.0);
    for (const TestLine& line : few.sheet.lines)
        if (line.place.kind == PlaceKind::rolling) CHECK(line.load_kg == Approx(20000.0));
}

TEST_CASE("a plan says how zero is returned to and how discrimination is done", "[cli][commissioning]") {
    // OIML R 76-1:2006, 3.9.4.2 and A.4.8.2 (from memory): half an hour under load; weights of d/10 off until
    // the indication I falls to I - d, one back, 1.4 d on: I + d.
    const std::string path = cli::config("scales/quarry-8.toml");
    const auto document = cli::ask({"plan", path, "--json"}).json();
    int asked = 0;
    for (const auto& line : document["lines"]) {
        if (line["test"] != "discrimination") continue;
        ++asked;
        CHECK(line["asked"] == "28 kg put on: at least 40 kg more");
    }
    CHECK(asked >= 2);
    const std::string how = document["how"].dump();
    CHECK(how.find("30 minutes") != std::string::npos);
    CHECK(how.find("Put one of them back, then 1.4 d") != std::string::npos);
    CHECK(how.find("at least 2 d above indication, 1 d above what was shown before") != std::string::npos);
    const cli::Answer answer = cli::ask({"plan", path});
    CHECK(answer.says("rolling 3"));
    std::istringstream lines(answer.out);
    for (std::string each; std::getline(lines, each);) CHECK(each.size() <= 80);
}

TEST_CASE("a plan refuses a date that no calendar has", "[cli][commissioning]") {
    const std::string scale = cli::config("scales/quarry-8.toml");
    for (const char* date :
         {"2026-02-30", "2026-13-01", "2026-04-31", "2025-02-29", "30.11.2026", "2026-1-1"})
        CHECK(cli::ask({"plan", scale, "--date", date}).code == 2);
    for (const char* date : {"2026-02-28", "2024-02-29", "2026-12-31"})
        CHECK(cli::ask({"plan", scale, "--date", date}).code == 0);
}

TEST_CASE("substitution loads stand in for weights as far as the standard lets them", "[commissioning]") {
    // OIML R 76-1:2006, 3.7.3 (from memory): 50 % of Max, less when weighings repeat well.
    const Asked quarry = shipped("quarry-8");
    const PlannedTest half = plan(quarry, 30000.0);
    CHECK(half.weights_suffice);
    CHECK(count(half, TestKind::substitution, PlaceKind::spread) == 1);
    const PlannedTest fifth = plan(quarry, 12000.0);
    CHECK(fifth.weights_suffice);
    CHECK_FALSE(fifth.remarks.empty());
    CHECK(count(fifth, TestKind::substitution, PlaceKind::spread) == 4);
    CHECK_FALSE(plan(quarry, 11000.0).weights_suffice);
    for (const PlannedTest& each : {half, fifth}) {
        double last = 0.0;
        bool coming_down = false;
        for (const TestLine& line : each.sheet.lines) {
            // Never more weights than there are.
            CHECK(line.load_kg - line.substitute_kg <= each.sheet.weights_kg * (1.0 + 1e-9));
            if (line.test != TestKind::weighing && line.test != TestKind::substitution) continue;
            if (line.decreasing && !coming_down) {
                coming_down = true;
                CHECK(last == Approx(60000.0));
            }
            CHECK((coming_down ? line.load_kg <= last : line.load_kg >= last));
            last = line.load_kg;
        }
        CHECK(coming_down);
    }
    // NIST Handbook 44, 2.20, table 4 (from memory): 12.5 % of capacity in weights, 25 % as test load.
    const Asked elevator = shipped("elevator-10");
    const double lb = 0.45359237;
    const PlannedTest pounds = plan(elevator, 25000.0 * lb);
    CHECK(pounds.weights_suffice);
    double most = 0.0;
    for (const TestLine& line : pounds.sheet.lines) most = std::max(most, line.load_kg);
    CHECK(most == Approx(50000.0 * lb));
    CHECK_FALSE(plan(elevator, 24000.0 * lb).weights_suffice);
}

TEST_CASE("Handbook 44 asks small scales for other weights and loads than large ones", "[commissioning]") {
    // NIST Handbook 44, 2.20, table 4 (from memory). Weights: 12.5 % of capacity and no less than 1 000 lb up
    // to 40 000 lb, 10 000 lb above; test load: 50 % up to 40 000 lb, above 25 % and no less than 20 000 lb.
    const double lb = 0.45359237;
    const struct {
        double max_lb;
        double least_lb;
        double largest_lb;
    } rows[] = {{60000, 10000, 20000}, {100000, 12500, 25000}, {40000, 5000, 20000}, {6000, 1000, 3000}};
    for (const auto& row : rows) {
        INFO(row.max_lb);
        Asked scrapyard = shipped("scrapyard-6");
        REQUIRE(scrapyard.standard.name == "NIST Handbook 44");
        scale::Description& d = scrapyard.scale.description;
        REQUIRE(d.unit == scale::MassUnit::pound);
        d.max_kg = row.max_lb * lb;
        d.division_kg = 10.0 * lb;
        const PlannedTest enough = plan(scrapyard, row.least_lb * lb);
        CHECK(enough.weights_suffice);
        double most = 0.0;
        for (const TestLine& line : enough.sheet.lines)
            if (line.test == TestKind::weighing) most = std::max(most, line.load_kg);
        CHECK(most == Approx(row.largest_lb * lb));
        CHECK_FALSE(plan(scrapyard, (row.least_lb - 20.0) * lb).weights_suffice);
    }
}

TEST_CASE("plan writes a sheet that survey takes, and asks before it writes over one",
          "[cli][commissioning]") {
    namespace fs = std::filesystem;
    const fs::path path = fs::temp_directory_path() / "cornerbench-plan-test.toml";
    fs::remove(path);
    const std::string scale = cli::config("scales/sawmill-4.toml");
    const cli::Answer first = cli::ask({"plan", scale, "--weights", "15", "-o", path.string()});
    CHECK(first.code == 0);
    CHECK(first.says("To fill: " + path.string()));
    std::istringstream lines(first.out);
    for (std::string each; std::getline(lines, each);) CHECK(each.size() <= 80);
    CHECK(cli::ask({"plan", scale, "-o", path.string()}).code == 4);
    const cli::Answer empty = cli::ask({"survey", path.string()});
    CHECK(empty.code == 1);
    CHECK(empty.says("All together: not done"));
    CHECK(cli::ask({"plan", scale, "--weights", "1"}).code == 1);
    CHECK(cli::ask({"plan", scale, "--weights", "-1"}).code == 2);
    CHECK(cli::ask({"plan", scale, "--exact"}).complains("give --simulate or --with"));
    const auto document = cli::ask({"plan", scale, "--json"}).json();
    CHECK(document["lines"].size() > 20);
    CHECK(document["unit"] == "t");
    fs::remove(path);
}
