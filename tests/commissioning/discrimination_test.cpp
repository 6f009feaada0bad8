#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>

#include "sim/commissioning/simulated_day.h"
#include "sim/commissioning/survey.h"
#include "sim/commissioning/test_plan.h"
#include "tests/commissioning/desk.h"

// The discrimination test as the plan words it, done by hand on displays of a few lines.

using namespace cornerbench;
using commissioning::Verdict;
using files::TestKind;
using files::TestLine;

namespace {

/// What a display shows with so much in small weights on the load; it may remember the way.
using Display = std::function<double(double)>;

/// The instruction, word by word: ten small weights on, off one by one until the display falls, written down;
/// one back where the standard says so, 1.4 d on, written down.
void follow(TestLine& line, const files::DiscriminationRule& rule, double division, const Display& shows) {
    const double small = division / 10.0;
    int on = 10;
    const double at_first = shows(on * small);
    double now = at_first;
    while (now > at_first - 0.5 * division && on > 0) now = shows(--on * small);
    line.indication_kg = now;
    if (rule.one_back) ++on;
    line.after_kg = shows(on * small + rule.extra_divisions * division);
}

Verdict verdict_of(const Desk& desk) {
    for (const auto& clause : commissioning::judge_sheet(desk.sheet, desk.standard).clauses)
        if (clause.title == "Discrimination") return clause.verdict;
    return Verdict::not_done;
}

Desk desk_at(const std::string& scale, double load_kg) {
    Desk d = desk(scale, files::Stage::verification);
    d.sheet.lines = {{TestKind::zero, {}}, {TestKind::discrimination, spread, load_kg}};
    d.sheet.lines[0].indication_kg = 0.0;
    return d;
}

}  // namespace

TEST_CASE("an ideal display passes the discrimination test as it is worded", "[commissioning]") {
    // OIML R 76-1:2006, A.4.8.2 (from memory): I, then I - d as weights of d/10 come off, one back, 1.4 d: I
    // + d. NIST Handbook 44, 2.20, T.N.7.2 (from memory): 1.4 d from just below the edge, 2 d more.
    for (const char* name : {"quarry-8", "elevator-10"}) {
        Desk d = desk_at(name, 0.0);
        const double division = d.sheet.scale.description.division_kg;
        const files::DiscriminationRule rule = *d.standard.tests.discrimination;
        // Wherever between two edges the load happens to stand.
        for (int part = 0; part < 100; ++part) {
            const double load = (500.0 + (part + 0.5) / 100.0) * division;
            INFO(name << " " << part);
            TestLine& line = d.sheet.lines[1];
            line.load_kg = load;
            double at_first = -1.0;
            follow(line, rule, division, [&](double small) {
                const double shown = division * std::round((load + small) / division);
                if (at_first < 0.0) at_first = shown;
                return shown;
            });
            CHECK(*line.indication_kg == Approx(at_first - division));
            CHECK(*line.after_kg == Approx(at_first + division));
            CHECK(verdict_of(d) == Verdict::passes);
        }
    }
}

TEST_CASE("a display that swallows what is put on fails the discrimination test", "[commissioning]") {
    Desk d = desk_at("quarry-8", 10000.0);
    const double division = d.sheet.scale.description.division_kg;
    const files::DiscriminationRule rule = *d.standard.tests.discrimination;
    TestLine& line = d.sheet.lines[1];
    for (int part = 0; part < 10; ++part) {
        const double load = 10000.0 + (part + 0.5) / 10.0 * division;
        // Goes down freely and takes the first 1.4 d back up as nothing.
        double lowest = 1.0e9;
        follow(line, rule, division, [&](double small) {
            lowest = std::min(lowest, small);
            return division * std::round((load + std::max(lowest, small - 1.5 * division)) / division);
        });
        CHECK(verdict_of(d) == Verdict::fails);
        // Does not move at all.
        follow(line, rule, division, [&](double) { return division * std::round(load / division); });
        CHECK(verdict_of(d) == Verdict::fails);
        // Takes half of it.
        lowest = 1.0e9;
        follow(line, rule, division, [&](double small) {
            lowest = std::min(lowest, small);
            return division * std::round((load + lowest + 0.5 * (small - lowest)) / division);
        });
        CHECK(verdict_of(d) == Verdict::fails);
    }
}

TEST_CASE("a simulated day does the discrimination test as the plan words it", "[commissioning]") {
    for (const char* name : {"quarry-8", "elevator-10", "sawmill-4"}) {
        INFO(name);
        Desk d = desk(name, files::Stage::verification);
        d.sheet =
            commissioning::plan_tests(d.sheet.scale, d.standard, {files::Stage::verification, 0.0}).sheet;
        commissioning::DaySetting exact;
        exact.exact = true;
        d.sheet = commissioning::simulate_day(d.sheet, d.standard, {}, 1, exact);
        int read = 0;
        for (const TestLine& line : d.sheet.lines) {
            if (line.test != TestKind::discrimination) continue;
            ++read;
            const double division = d.sheet.scale.description.division_at_kg(line.load_kg);
            REQUIRE(line.indication_kg);
            REQUIRE(line.after_kg);
            CHECK(*line.after_kg - *line.indication_kg == Approx(2.0 * division));
        }
        CHECK(read >= 2);
        CHECK(verdict_of(d) == Verdict::passes);
    }
}
