#include "sim/commissioning/survey.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <random>

#include "firmware/weighing/division.h"
#include "sim/commissioning/survey_errors.h"
#include "tests/cli/command_line.h"

using namespace cornerbench;
using commissioning::Survey;
using commissioning::Verdict;
using files::PlaceKind;
using files::TestKind;
using files::TestLine;
using files::TestSheet;

namespace {

struct Desk {
    TestSheet sheet;
    files::Standard standard;
};

/// An empty sheet of a shipped scale.
Desk desk(const std::string& name, files::Stage stage) {
    Desk d;
    const auto scale = files::load_scale(cli::config("scales/" + name + ".toml"));
    REQUIRE(scale);
    d.sheet.scale = *scale.value;
    d.sheet.stage = stage;
    d.sheet.weights_kg = scale.value->description.max_kg;
    const auto standard = files::find_standard(scale.value->standard, scale.value->path);
    REQUIRE(standard);
    d.standard = *standard.value;
    return d;
}

TestLine read_line(TestKind kind, files::TestPlace place, double load_kg, double indication_kg,
                   double added_kg) {
    TestLine line{kind, place, load_kg};
    line.indication_kg = indication_kg;
    line.added_kg = added_kg;
    return line;
}

const files::TestPlace spread{PlaceKind::spread, 0};

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
    Desk d = desk("quarry-8", files::Stage::service);
    auto& lines = d.sheet.lines;
    lines.push_back(read_line(TestKind::zero, {}, 0.0, 0.0, 10.0));
    for (int i = 0; i < 3; ++i)
        lines.push_back(read_line(TestKind::repeatability, spread, 30000.0, 30000.0, 10.0 - 2.0 * i));
    for (int i = 0; i < 8; ++i)
        lines.push_back(read_line(TestKind::eccentricity, {PlaceKind::support, i}, 8580.0, 8580.0, 10.0));
    lines.push_back(read_line(TestKind::weighing, spread, 40000.0, 40000.0, 10.0));
    lines.push_back(read_line(TestKind::weighing, spread, 60000.0, 60000.0, 10.0));
    lines.push_back(read_line(TestKind::weighing, spread, 40000.0, 40000.0, 4.0));
    lines.back().decreasing = true;
    lines.push_back(read_line(TestKind::zero_return, {}, 0.0, 0.0, 10.0));
    TestLine step{TestKind::discrimination, spread, 400.0};
    step.indication_kg = 400.0;
    step.after_kg = 440.0;
    lines.push_back(step);
    Survey survey = commissioning::judge_sheet(d.sheet, d.standard);
    CHECK(survey.verdict() == Verdict::passes);
    REQUIRE(survey.hysteresis.size() == 1);
    CHECK(survey.hysteresis[0].difference_kg == Approx(6.0));

    lines[6].indication_kg = 8500.0;  // support 3
    survey = commissioning::judge_sheet(d.sheet, d.standard);
    CHECK(verdict_of(survey, "Eccentric loads") == Verdict::fails);
    CHECK(survey.corners_off == std::vector<int>{2});
    CHECK(verdict_of(survey, "Weighing, increasing and decreasing") == Verdict::passes);
    lines[6].indication_kg = 8580.0;

    lines[2].indication_kg = 30080.0;
    survey = commissioning::judge_sheet(d.sheet, d.standard);
    CHECK(verdict_of(survey, "Repeatability") == Verdict::fails);
    lines[2].indication_kg = 30000.0;

    lines[15].indication_kg = 40.0;
    CHECK(verdict_of(commissioning::judge_sheet(d.sheet, d.standard), "Return to zero") == Verdict::fails);
    lines[15].indication_kg = 0.0;

    lines[16].after_kg = 420.0;
    CHECK(verdict_of(commissioning::judge_sheet(d.sheet, d.standard), "Discrimination") == Verdict::fails);
    lines[16].after_kg.reset();
    CHECK(verdict_of(commissioning::judge_sheet(d.sheet, d.standard), "Discrimination") == Verdict::not_done);
    CHECK(commissioning::judge_sheet(d.sheet, d.standard).verdict() == Verdict::not_done);
    lines[13].indication_kg.reset();
    lines[13].added_kg.reset();
    lines[13].shown = diagnosis::Shown::over_range;
    CHECK(verdict_of(commissioning::judge_sheet(d.sheet, d.standard),
                     "Weighing, increasing and decreasing") == Verdict::fails);
}

TEST_CASE("corners within their limits can still lie too far apart under Handbook 44", "[commissioning]") {
    // NIST Handbook 44, 2.20, N.1.3 (from memory): the results together lie within the limit at the test
    // load.
    Desk d = desk("scrapyard-6", files::Stage::service);
    const double lb = 0.45359237;
    for (int i = 0; i < 6; ++i)
        d.sheet.lines.push_back(read_line(TestKind::eccentricity, {PlaceKind::support, i}, 10000.0 * lb,
                                          (i == 2 ? 10020.0 : 10000.0) * lb, 10.0 * lb));
    const auto title = "Spread of the corner round and of the sections";
    Survey survey = commissioning::judge_sheet(d.sheet, d.standard);
    CHECK(verdict_of(survey, "Eccentric loads") == Verdict::passes);
    CHECK(verdict_of(survey, title) == Verdict::passes);
    d.sheet.lines[4].indication_kg = 9980.0 * lb;
    survey = commissioning::judge_sheet(d.sheet, d.standard);
    CHECK(verdict_of(survey, "Eccentric loads") == Verdict::passes);
    CHECK(verdict_of(survey, title) == Verdict::uncertain);
    d.sheet.lines[2].added_kg = 5.0 * lb;
    d.sheet.lines[4].added_kg = 15.0 * lb;
    CHECK(verdict_of(commissioning::judge_sheet(d.sheet, d.standard), title) == Verdict::fails);
}

TEST_CASE("propagated uncertainties are those of a simulated display", "[commissioning]") {
    // JCGM 100:2008, 5.1.2, beside a Monte Carlo run of 100 000 (JCGM 101:2008) of the procedure itself:
    // weights that err alike, weighings that scatter, a display that rounds, small weights put on one by one,
    // a substitution load matched on the display. Neither knows the other's formulas.
    Desk d = desk("quarry-8", files::Stage::verification);
    auto& lines = d.sheet.lines;
    const double division = 20.0;
    const double step = 2.0;
    d.sheet.uncertainties.weights = 1.0e-4;
    lines.push_back(read_line(TestKind::zero, {}, 0.0, 0.0, 10.0));
    lines.push_back(read_line(TestKind::weighing, spread, 20000.0, 20000.0, 10.0));
    lines.push_back(read_line(TestKind::substitution, spread, 20000.0, 20000.0, 10.0));
    lines.back().substitute_kg = 20000.0;
    lines.push_back(read_line(TestKind::weighing, spread, 35000.0, 35000.0, 10.0));
    lines.back().substitute_kg = 20000.0;
    lines.push_back(read_line(TestKind::weighing, spread, 20000.0, 20000.0, 10.0));
    lines.back().decreasing = true;
    const commissioning::SheetForms forms = commissioning::sheet_forms(d.sheet);

    std::mt19937_64 bits(20261129);
    std::normal_distribution<double> normal(0.0, 1.0);
    std::uniform_real_distribution<double> even(0.0, 1.0);
    const double scatter = d.sheet.uncertainties.repeatability_divisions * division;
    /// What is read of a true weight, by A.4.4.3.
    const auto read = [&](double true_kg) {
        const double w = true_kg + scatter * normal(bits);
        const double shown = weighing::rounded_kg(w, division);
        int n = 1;
        while (weighing::rounded_kg(w + n * step, division) <= shown) ++n;
        return shown + 0.5 * division - n * step;
    };
    constexpr int runs = 100000;
    double squares[3] = {0.0, 0.0, 0.0};
    for (int run = 0; run < runs; ++run) {
        // The scale errs by an unknown part of a division that the day's first zero does not take out.
        const double offset = division * even(bits);
        const double weights = 1.0 + d.sheet.uncertainties.weights * normal(bits);
        const double zero = read(offset);
        const double p20 = read(20000.0 * weights + offset);
        const double true_substitute = 20000.0 * weights + division * (even(bits) - 0.5);
        const double p_substitute = read(true_substitute + offset);
        const double found = 20000.0 + p_substitute - p20;
        const double p35 = read(true_substitute + 15000.0 * weights + offset);
        const double down = read(20000.0 * weights + offset);
        const double errors[3] = {p20 - 20000.0 - zero, p35 - (found + 15000.0) - zero, down - p20};
        for (int i = 0; i < 3; ++i) squares[i] += errors[i] * errors[i];
    }
    commissioning::LinearForm hysteresis = *forms.lines[4].error;
    hysteresis.plus(*forms.lines[1].error, -1.0);
    const double propagated[3] = {forms.lines[1].error->uncertainty(), forms.lines[3].error->uncertainty(),
                                  hysteresis.uncertainty()};
    for (int i = 0; i < 3; ++i) {
        const double seen = std::sqrt(squares[i] / runs);
        INFO("quantity " << i << ": propagated " << propagated[i] << ", simulated " << seen);
        CHECK(std::fabs(propagated[i] / seen - 1.0) < 0.02);
    }
}

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
    CHECK(diagnosis["readings"] == 15);  // empty three times, eight corners, four sections
    CHECK(cli::ask({"trim", readings}).code == 0);
    CHECK(cli::ask({"survey", sheet, "--readings", readings}).code == 4);
    CHECK(cli::ask({"survey", cli::config("scales/quarry-8.toml")}).complains("makes this a scale file"));
    fs::remove_all(folder);
}
