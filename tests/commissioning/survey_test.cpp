#include "sim/commissioning/survey.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>

#include "sim/commissioning/limits.h"
#include "tests/cli/command_line.h"
#include "tests/commissioning/desk.h"
#include "tests/commissioning/whole_day.h"

using namespace cornerbench;
using commissioning::Survey;
using commissioning::Verdict;
using files::PlaceKind;
using files::TestKind;
using files::TestLine;
using files::TestSheet;

namespace {

Verdict verdict_of(const Survey& survey, const std::string& title) {
    for (const auto& clause : survey.clauses)
        if (clause.title == title) return clause.verdict;
    FAIL("no clause " << title);
    return Verdict::not_done;
}

}  // namespace

TEST_CASE("the error before rounding is that of the standard's formula and example", "[commissioning]") {
    // OIML R 76-1:2006, A.4.4.3 (its example from memory): e = 5 g, 1 kg shows 1 000 g and turns to 1 005 g
    // with 1.5 g more: P = 1 001 g, E = +1 g; with E0 = +0.5 g at zero, Ec = +0.5 g. Here in tonnes for
    // kilograms.
    Desk d = desk("quarry-8", files::Stage::verification);
    d.sheet.scale.description.division_kg = 5.0;
    d.sheet.lines.push_back(read_line(TestKind::zero, {}, 0.0, 0.0, 2.0));
    d.sheet.lines.push_back(read_line(TestKind::weighing, spread, 1000.0, 1000.0, 1.5));
    const Survey survey = commissioning::judge_sheet(d.sheet, d.standard);
    CHECK(*survey.lines[0].before_rounding_kg == Approx(0.5));
    CHECK(*survey.lines[1].before_rounding_kg == Approx(1001.0));
    CHECK(survey.lines[1].error.value == Approx(0.5));
    CHECK(survey.lines[1].error.limit == 2.5);
}

TEST_CASE("a verdict is uncertain exactly where the limit lies within the uncertainty", "[commissioning]") {
    Desk d = desk("quarry-8", files::Stage::verification);
    const auto error_at = [&](double error_kg) {
        d.sheet.lines = {read_line(TestKind::zero, {}, 0.0, 0.0, 10.0),
                         read_line(TestKind::weighing, spread, 10000.0, 10000.0, 10.0 - error_kg)};
        return commissioning::judge_sheet(d.sheet, d.standard).lines[1].error;
    };
    const double u = error_at(0.0).uncertainty;
    CHECK(u > 1.0);
    CHECK(u < 9.0);
    CHECK(error_at(10.0 - u - 0.01).verdict == Verdict::passes);
    CHECK(error_at(10.0 - u + 0.01).verdict == Verdict::uncertain);
    CHECK(error_at(10.0 + u - 0.01).verdict == Verdict::uncertain);
    CHECK(error_at(10.0 + u + 0.01).verdict == Verdict::fails);
    CHECK(error_at(-10.0 - u - 0.01).verdict == Verdict::fails);
}

TEST_CASE("each clause is judged by what bears on it", "[commissioning]") {
    Desk d = whole_quarry_day(files::Stage::service);
    const auto at = [&](TestKind test, std::size_t nth) -> TestLine& {
        for (TestLine& line : d.sheet.lines)
            if (line.test == test && nth-- == 0) return line;
        FAIL("no such line");
        return d.sheet.lines.front();
    };
    // The first line coming down, from 60 t.
    at(TestKind::weighing, 5).added_kg = 4.0;
    const auto judged = [&] { return commissioning::judge_sheet(d.sheet, d.standard); };
    Survey survey = judged();
    CHECK(survey.whole);
    Desk part = d;
    std::erase_if(part.sheet.lines, [](const TestLine& line) { return line.test == TestKind::zero_return; });
    CHECK_FALSE(commissioning::judge_sheet(part.sheet, part.standard).whole);
    CHECK(survey.verdict() == Verdict::passes);
    REQUIRE(survey.hysteresis.size() == 4);
    CHECK(survey.hysteresis[0].load_kg == 40000.0);
    CHECK(survey.hysteresis[0].difference_kg == Approx(6.0));

    TestLine& corner = at(TestKind::eccentricity, 2);  // support 3
    corner.indication_kg = 8500.0;
    survey = judged();
    CHECK(verdict_of(survey, "Eccentric loads") == Verdict::fails);
    CHECK(survey.corners_off == std::vector<int>{2});
    CHECK(verdict_of(survey, "Weighing, increasing and decreasing") == Verdict::passes);
    corner.indication_kg = 8580.0;

    TestLine& again = at(TestKind::repeatability, 1);
    again.indication_kg = 30080.0;
    CHECK(verdict_of(judged(), "Repeatability") == Verdict::fails);
    again.indication_kg = 30000.0;

    at(TestKind::zero_return, 0).indication_kg = 40.0;
    CHECK(verdict_of(judged(), "Return to zero") == Verdict::fails);
    at(TestKind::zero_return, 0).indication_kg = 0.0;

    TestLine& step = at(TestKind::discrimination, 0);
    step.after_kg = 420.0;
    CHECK(verdict_of(judged(), "Discrimination") == Verdict::fails);
    step.after_kg.reset();
    CHECK(verdict_of(judged(), "Discrimination") == Verdict::not_done);
    CHECK(judged().verdict() == Verdict::not_done);
    TestLine& largest = at(TestKind::weighing, 4);
    largest.indication_kg.reset();
    largest.added_kg.reset();
    largest.shown = diagnosis::Shown::over_range;
    CHECK(verdict_of(judged(), "Weighing, increasing and decreasing") == Verdict::fails);
}

TEST_CASE("a rolling load and a test pattern are judged under clauses of their own", "[commissioning]") {
    // OIML R 76-1:2006, 3.6.2.4: rolling load; 3.6.2.1 and 3.6.2.2: loads over supports and elsewhere on the
    // deck. NIST Handbook 44, 2.20, N.1.3.3, S.5.1 (from memory): test pattern.
    Desk r76 = desk("quarry-8", files::Stage::service);
    const auto clause_of = [](const Survey& survey, const std::string& title) {
        for (const auto& each : survey.clauses)
            if (each.title == title) return each.clause;
        return std::string();
    };
    for (int i = 0; i < 8; ++i)
        r76.sheet.lines.push_back(
            read_line(TestKind::eccentricity, {PlaceKind::support, i}, 8580.0, 8580.0, 10.0));
    for (int i = 0; i < files::rolling_places; ++i)
        r76.sheet.lines.push_back(
            read_line(TestKind::eccentricity, {PlaceKind::rolling, i}, 48000.0, 48000.0, 10.0));
    r76.sheet.lines.back().indication_kg = 48200.0;
    Survey survey = commissioning::judge_sheet(r76.sheet, r76.standard);
    CHECK(clause_of(survey, "Rolling load") == "3.6.2.4");
    CHECK(clause_of(survey, "Eccentric loads") == "3.6.2.1, 3.6.2.2");
    CHECK(clause_of(survey, "Test pattern").empty());
    CHECK(verdict_of(survey, "Rolling load") == Verdict::fails);
    CHECK(verdict_of(survey, "Eccentric loads") == Verdict::passes);
    CHECK(survey.verdict() == Verdict::fails);

    Desk h44 = desk("elevator-10", files::Stage::service);
    const double lb = 0.45359237;
    h44.sheet.lines.push_back(
        read_line(TestKind::eccentricity, {PlaceKind::pattern, 0}, 20000.0 * lb, 20000.0 * lb, 0.0));
    survey = commissioning::judge_sheet(h44.sheet, h44.standard);
    CHECK(clause_of(survey, "Test pattern") == h44.standard.tests.section->clause);
    CHECK(clause_of(survey, "Eccentric loads").empty());
    // A standard without a clause for it leaves a rolling load to that of eccentric loads.
    h44.sheet.lines.back().place = {PlaceKind::rolling, 0};
    survey = commissioning::judge_sheet(h44.sheet, h44.standard);
    CHECK(clause_of(survey, "Rolling load") == h44.standard.corner_clause);
}

TEST_CASE("corners within their limits can still lie too far apart under Handbook 44", "[commissioning]") {
    // NIST Handbook 44, 2.20, N.1.3 and table 6 (from memory): the results together lie within the limit at
    // the test load, an eighth of Max: 2 d at 625 d.
    Desk d = desk("scrapyard-6", files::Stage::service);
    const double lb = 0.45359237;
    for (int i = 0; i < 6; ++i)
        d.sheet.lines.push_back(read_line(TestKind::eccentricity, {PlaceKind::support, i}, 12500.0 * lb,
                                          (i == 2 ? 12540.0 : 12500.0) * lb, 10.0 * lb));
    const auto title = "Spread of the corner round and of the sections";
    Survey survey = commissioning::judge_sheet(d.sheet, d.standard);
    CHECK(verdict_of(survey, "Eccentric loads") == Verdict::passes);
    CHECK(verdict_of(survey, title) == Verdict::passes);
    d.sheet.lines[4].indication_kg = 12480.0 * lb;
    survey = commissioning::judge_sheet(d.sheet, d.standard);
    CHECK(verdict_of(survey, "Eccentric loads") == Verdict::passes);
    CHECK(verdict_of(survey, title) == Verdict::fails);
    // 60 lb are shown, but the results lie no more than 40 lb apart: once more they might show 40.
    d.sheet.lines[2].added_kg = 20.0 * lb;
    d.sheet.lines[4].added_kg = 0.0;
    CHECK(verdict_of(commissioning::judge_sheet(d.sheet, d.standard), title) == Verdict::uncertain);
}

TEST_CASE("corners that all read alike lie apart by nothing", "[commissioning]") {
    // At the same load every result is the same: the spread is 0 and within any limit.
    const double lb = 0.45359237;
    for (const files::Stage stage : {files::Stage::verification, files::Stage::service}) {
        Desk d = desk("scrapyard-6", stage);
        for (const PlaceKind kind : {PlaceKind::support, PlaceKind::section})
            for (int i = 0; i < (kind == PlaceKind::support ? 6 : 3); ++i)
                d.sheet.lines.push_back(
                    read_line(TestKind::eccentricity, {kind, i}, 12500.0 * lb, 12500.0 * lb, 10.0 * lb));
        const auto title = "Spread of the corner round and of the sections";
        Survey survey = commissioning::judge_sheet(d.sheet, d.standard);
        CHECK(verdict_of(survey, title) == Verdict::passes);
        for (const auto& clause : survey.clauses) {
            if (clause.title != title) continue;
            REQUIRE(clause.worst);
            CHECK(clause.worst->value == 0.0);
        }
        d.sheet.lines[3].indication_kg.reset();
        d.sheet.lines[3].added_kg.reset();
        CHECK(verdict_of(commissioning::judge_sheet(d.sheet, d.standard), title) == Verdict::not_done);
    }
}

TEST_CASE("a perfect scale under Handbook 44 passes its simulated day", "[cli][commissioning]") {
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "cornerbench-perfect-test";
    fs::remove_all(folder);
    fs::create_directories(folder);
    for (const std::string stage : {"verification", "service"})
        for (const std::string name : {"scrapyard-6", "elevator-10"}) {
            const std::string sheet = (folder / (name + stage + ".toml")).string();
            CHECK(cli::ask({"plan", cli::config("scales/" + name + ".toml"), "--exact", "--simulate",
                            "--stage", stage, "-o", sheet})
                      .code == 0);
            INFO(cli::ask({"survey", sheet}).out);
            CHECK(cli::ask({"survey", sheet}).code == 0);
        }
    fs::remove_all(folder);
}

TEST_CASE("a corner round's spread has one limit in plan, survey and corners", "[cli][commissioning]") {
    // NIST Handbook 44, 2.20, N.1.3 (from memory): corners and sections agree within the maintenance
    // tolerance at the test load, at acceptance as well.
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "cornerbench-apart-test";
    fs::remove_all(folder);
    fs::create_directories(folder);
    const std::string scale = cli::config("scales/scrapyard-6.toml");
    const auto standard = files::find_standard("NIST Handbook 44", scale);
    REQUIRE(standard);
    for (const std::string stage : {"verification", "service"}) {
        const std::string sheet = (folder / (stage + ".toml")).string();
        const auto plan =
            cli::ask({"plan", scale, "--exact", "--simulate", "--stage", stage, "-o", sheet, "--json"})
                .json();
        const auto corners = cli::ask({"corners", scale, "--stage", stage, "--json"}).json();
        const double load = corners["mass"];
        const double division = corners["division"];
        const double maintenance =
            division * standard.value->limit_divisions("III", files::Stage::service, load / division);
        REQUIRE(maintenance > 0.0);
        CHECK(corners["support_spread"]["limit"] == maintenance);
        CHECK(corners["section_spread"]["limit"] == maintenance);
        int lines = 0;
        for (const auto& line : plan["lines"]) {
            const std::string place = line["place"];
            if (place.find("support") != 0 && place.find("section") != 0) continue;
            ++lines;
            const std::string asked = line["asked"];
            INFO(asked);
            CHECK(asked.find(", apart " + std::to_string(std::lround(maintenance)) + " lb") !=
                  std::string::npos);
        }
        CHECK(lines > 6);
        bool found = false;
        const auto survey = cli::ask({"survey", sheet, "--json"}).json();
        for (const auto& clause : survey["clauses"]) {
            if (clause["title"] != "Spread of the corner round and of the sections") continue;
            found = true;
            CHECK(clause["worst"]["limit"] == maintenance);
        }
        CHECK(found);
    }
    fs::remove_all(folder);
}

TEST_CASE("limits that are printed are the standard's own, whatever turns the verdict",
          "[cli][commissioning]") {
    // NIST Handbook 44, 2.20, T.N.3.2 (from memory): at acceptance half the maintenance tolerance. What is
    // shown is judged, so an error before rounding shows past the limit half a division later only.
    Desk d = desk("elevator-10", files::Stage::verification);
    const double lb = 0.45359237;
    for (const double load : {8000.0, 30000.0, 60000.0})
        d.sheet.lines.push_back(read_line(TestKind::weighing, spread, load * lb, load * lb, 10.0 * lb));
    for (int i = 0; i < 3; ++i)
        d.sheet.lines.push_back(
            read_line(TestKind::repeatability, spread, 100000.0 * lb, 100000.0 * lb, 10.0 * lb));
    const Survey survey = commissioning::judge_sheet(d.sheet, d.standard);
    for (const auto& line : survey.lines) {
        const double load = d.sheet.lines[static_cast<unsigned>(line.line)].load_kg;
        CHECK(line.error.limit ==
              commissioning::limit_kg(d.standard, d.sheet.scale, files::Stage::verification, load));
        CHECK(line.error.turns_at >= line.error.limit);
    }
    for (const auto& clause : survey.clauses) {
        if (clause.title != "Repeatability") continue;
        REQUIRE(clause.worst);
        CHECK(clause.worst->limit == commissioning::repeatability_limit_kg(d.standard, d.sheet.scale,
                                                                           files::Stage::verification,
                                                                           100000.0 * lb));
        // T.N.5 (from memory): the maintenance tolerance at any stage: 10 d at 5 000 d.
        CHECK(clause.worst->limit == Approx(200.0 * lb));
    }
    const auto plan = cli::ask({"plan", cli::config("scales/elevator-10.toml"), "--json"}).json();
    for (const auto& line : plan["lines"])
        if (line["test"] == "repeatability") CHECK(line["asked"] == "limit 100 lb, apart 200 lb");
}

TEST_CASE("what a standard judges as shown needs no small weights to be judged", "[commissioning]") {
    Desk d = desk("scrapyard-6", files::Stage::service);
    const double lb = 0.45359237;
    for (const double shown : {10000.0, 10020.0, 10040.0}) {
        TestLine line{TestKind::weighing, spread, 10000.0 * lb};
        line.indication_kg = shown * lb;
        d.sheet.lines.push_back(line);
    }
    const Survey survey = commissioning::judge_sheet(d.sheet, d.standard);
    CHECK(survey.lines[0].error.verdict == Verdict::passes);
    CHECK(survey.lines[1].error.verdict == Verdict::passes);  // 1 d, which is the tolerance at 500 d
    CHECK(survey.lines[2].error.verdict == Verdict::fails);
}
