#include "sim/commissioning/missing_lines.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "sim/commissioning/simulated_day.h"
#include "sim/commissioning/survey.h"
#include "sim/commissioning/test_plan.h"
#include "sim/report/survey_report.h"
#include "tests/commissioning/whole_day.h"

// What a day of tests lacks of what its standard asks.

using namespace cornerbench;
using commissioning::Survey;
using commissioning::Verdict;
using files::PlaceKind;
using files::Stage;
using files::TestKind;
using files::TestLine;

namespace {

Survey judged(const Desk& d) {
    return commissioning::judge_sheet(d.sheet, d.standard);
}

const commissioning::ClauseResult& clause_of(const Survey& survey, const std::string& title) {
    for (const auto& clause : survey.clauses)
        if (clause.title == title) return clause;
    FAIL("no clause " << title);
    return survey.clauses.front();
}

bool remarks(const Survey& survey, const std::string& part) {
    for (const std::string& remark : survey.remarks)
        if (remark.find(part) != std::string::npos) return true;
    return false;
}

/// The day without the lines that `gone` picks.
template <class Gone>
Survey without(Desk d, Gone&& gone) {
    std::erase_if(d.sheet.lines, gone);
    return judged(d);
}

std::string next_step(const Desk& d) {
    const Survey survey = judged(d);
    return report::next_step_words({d.sheet, d.standard, survey});
}

const char* const weighing_title = "Weighing, increasing and decreasing";

}  // namespace

TEST_CASE("a day without one of the lines that R 76 asks is not whole and does not pass", "[commissioning]") {
    const Desk d = whole_quarry_day(Stage::verification);
    REQUIRE(judged(d).whole);
    REQUIRE(judged(d).verdict() == Verdict::passes);
    const auto lacks = [](const Survey& survey, const std::string& title, const std::string& part) {
        INFO(title << ", " << part);
        CHECK_FALSE(survey.whole);
        CHECK(survey.verdict() == Verdict::not_done);
        CHECK(clause_of(survey, title).verdict == Verdict::not_done);
        CHECK(remarks(survey, title + " (" + clause_of(survey, title).clause + "): "));
        CHECK(remarks(survey, part));
    };
    const auto is_at = [](PlaceKind kind, int index) {
        return [=](const TestLine& line) { return line.place == files::TestPlace{kind, index}; };
    };
    lacks(without(d, is_at(PlaceKind::support, 4)), "Eccentric loads", "not tested: support 5");
    lacks(without(d, is_at(PlaceKind::rolling, 1)), "Rolling load", "not tested: rolling 2");
    const auto weighed = [](double kg, bool decreasing) {
        return [=](const TestLine& line) {
            return line.test == TestKind::weighing && line.load_kg == kg && line.decreasing == decreasing;
        };
    };
    lacks(without(d, weighed(30000.0, false)), weighing_title, "4 of 5 loads going up");
    lacks(without(d, weighed(30000.0, true)), weighing_title, "3 of 4 loads coming down");
    lacks(without(d, weighed(400.0, false)), weighing_title, "no load near Min, 400 kg");
    lacks(without(d, weighed(40000.0, false)), weighing_title,
          "no load near 40 000 kg, where the limit changes");
    lacks(without(d, weighed(60000.0, false)), weighing_title,
          "the largest load, 40 000 kg, is below the 100 %");
    int left = 2;
    const auto third = [&](const TestLine& line) {
        return line.test == TestKind::repeatability && line.load_kg == 54000.0 && left-- == 0;
    };
    const Survey twice = without(d, third);
    lacks(twice, "Repeatability", "2 of 3 weighings of 54 000 kg or more");
    CHECK(clause_of(twice, "Each of the repeated weighings").verdict == Verdict::not_done);
    const Survey halves = without(d, [](const TestLine& line) {
        return line.test == TestKind::repeatability && line.load_kg == 54000.0;
    });
    lacks(halves, "Repeatability", "0 of 3 weighings of 54 000 kg or more");
    const Survey standing =
        without(d, [](const TestLine& line) { return line.place.kind == PlaceKind::rolling; });
    CHECK_FALSE(standing.whole);
    CHECK(remarks(standing, "not judged: rolling load"));
}

TEST_CASE("corners count from nearly the load that is asked on", "[commissioning]") {
    // OIML R 76-1:2006, 3.6.2.2: Max / (n - 1) = 8 571 kg; weights of half a tonne make 8 500 kg of it.
    Desk d = whole_quarry_day(Stage::verification);
    const auto load_corners = [&](double kg, int supports) {
        for (TestLine& line : d.sheet.lines)
            if (line.place.kind == PlaceKind::support && line.place.index < supports)
                line.indication_kg = line.load_kg = kg;
    };
    load_corners(8500.0, 8);
    CHECK(judged(d).whole);
    load_corners(400.0, 2);
    const Survey survey = judged(d);
    CHECK_FALSE(survey.whole);
    CHECK(clause_of(survey, "Eccentric loads").verdict == Verdict::not_done);
    CHECK(remarks(survey, "less than the 8 571 kg that are asked: support 1, 2"));
    // A load across a section stands half on each of two supports.
    for (TestLine& line : d.sheet.lines)
        if (line.place.kind == PlaceKind::support) line.place = {PlaceKind::section, line.place.index / 2};
    CHECK(remarks(judged(d), "not tested: support 1, 2, 3, 4, 5, 6, 7, 8"));
}

TEST_CASE("lines that are missing change no verdict but a pass", "[commissioning]") {
    Desk d = whole_quarry_day(Stage::verification);
    std::erase_if(d.sheet.lines, [](const TestLine& line) {
        return line.place.kind == PlaceKind::support && line.place.index > 0;
    });
    for (TestLine& line : d.sheet.lines)
        if (line.place.kind == PlaceKind::support) line.indication_kg = 8680.0;
    const Survey survey = judged(d);
    CHECK(clause_of(survey, "Eccentric loads").verdict == Verdict::fails);
    CHECK(remarks(survey, "not tested: support 2, 3, 4, 5, 6, 7, 8"));
}

TEST_CASE("no more test weights stand on a deck than there are", "[commissioning]") {
    Desk d = whole_quarry_day(Stage::verification);
    d.sheet.weights_kg = 20.0;
    Survey survey = judged(d);
    CHECK_FALSE(survey.whole);
    CHECK(remarks(survey, "60 000 kg of test weights stand on the deck in line 23"));
    CHECK(remarks(survey, "come to 20 kg"));
    d.sheet.weights_kg = 0.0;
    survey = judged(d);
    CHECK_FALSE(survey.whole);
    CHECK(remarks(survey, "does not say under weights"));
    // What rolls may be a vehicle, and no test weight.
    d.sheet.weights_kg = 60000.0;
    for (TestLine& line : d.sheet.lines)
        if (line.place.kind == PlaceKind::rolling) line.indication_kg = line.load_kg = 64000.0;
    CHECK(judged(d).whole);
}

TEST_CASE("a shift test of Handbook 44 goes round the sections or round the supports", "[commissioning]") {
    // NIST Handbook 44, 2.20, N.1.3.3 and table 4 (from memory): an eighth of Max, 12 500 lb.
    const double lb = 0.45359237;
    Desk d = desk("scrapyard-6", Stage::service);
    const auto round = [&](PlaceKind kind, int count, double load_lb) {
        d.sheet.lines.clear();
        for (int i = 0; i < count; ++i)
            d.sheet.lines.push_back(
                read_line(TestKind::eccentricity, {kind, i}, load_lb * lb, load_lb * lb, 10.0 * lb));
        const Survey survey = judged(d);
        const Verdict verdict = clause_of(survey, "Spread of the corner round and of the sections").verdict;
        CHECK(verdict == clause_of(survey, "Eccentric loads").verdict);
        return verdict;
    };
    CHECK(round(PlaceKind::section, 3, 12500.0) == Verdict::passes);
    CHECK(round(PlaceKind::support, 6, 12500.0) == Verdict::passes);
    CHECK(round(PlaceKind::section, 2, 12500.0) == Verdict::not_done);
    CHECK(round(PlaceKind::support, 5, 12500.0) == Verdict::not_done);
    CHECK(round(PlaceKind::section, 3, 400.0) == Verdict::not_done);
    round(PlaceKind::section, 2, 12500.0);
    CHECK(remarks(judged(d), "not tested: section 3"));
    CHECK(remarks(judged(d), "test pattern"));
}

TEST_CASE("what is planned is whole once it is read", "[commissioning]") {
    // The plan and the survey read the same rules; neither asks the other.
    commissioning::DaySetting exact;
    exact.exact = true;
    exact.specimen.scatter = field::no_scatter;
    const auto hold = [&](const std::string& name, const std::string& code, Stage stage, double weights) {
        const auto scale = files::load_scale(cli::config("scales/" + name + ".toml"));
        REQUIRE(scale);
        const auto standard = files::choose_standard(code, scale.value->path);
        REQUIRE(standard);
        if (standard.value->find_class(scale.value->accuracy_class) == nullptr) return false;
        INFO(name << " by " << code << ", stage " << static_cast<int>(stage) << ", weights " << weights);
        const double weights_kg = weights * scale::kilograms_in(scale.value->description.unit);
        auto planned = commissioning::plan_tests(*scale.value, *standard.value, {stage, weights_kg});
        planned.sheet.scale_path = scale.value->path;
        const auto filled = commissioning::simulate_day(planned.sheet, *standard.value, {}, 1, exact);
        const auto read = files::parse_test_sheet(files::test_sheet_text(filled, "", {}), "/day.toml");
        INFO(files::to_string(read.errors));
        REQUIRE(read);
        const Survey survey = commissioning::judge_sheet(*read.value, *standard.value);
        for (const std::string& remark : survey.remarks) UNSCOPED_INFO(remark);
        CHECK(survey.whole);
        for (const auto& clause : survey.clauses) {
            INFO(clause.title << ": " << clause.words);
            CHECK(clause.verdict != Verdict::not_done);
        }
        return true;
    };
    int days = 0;
    for (const char* name : {"quarry-8", "sawmill-4", "harbour-8", "depot-6", "elevator-10", "scrapyard-6"})
        for (const char* code : {"OIML R 76", "NIST Handbook 44", "in-plant"})
            for (const Stage stage : {Stage::verification, Stage::service})
                days += hold(name, code, stage, 0.0) ? 1 : 0;
    CHECK(days == 32);
    // With substitution loads: a third to a half of Max, and an eighth.
    CHECK(hold("quarry-8", "OIML R 76", Stage::verification, 30000.0));
    CHECK(hold("quarry-8", "OIML R 76", Stage::verification, 20000.0));
    CHECK(hold("sawmill-4", "OIML R 76", Stage::service, 15.0));
    CHECK(hold("elevator-10", "NIST Handbook 44", Stage::verification, 25000.0));
}

TEST_CASE("lines that are read but make no number say what they take", "[commissioning]") {
    Desk d = whole_quarry_day(Stage::verification);
    Desk once = d;
    std::erase_if(once.sheet.lines,
                  [](const TestLine& line) { return line.test == TestKind::repeatability; });
    once.sheet.lines.push_back(read_line(TestKind::repeatability, spread, 30000.0, 30000.0, 10.0));
    const auto repeated = clause_of(judged(once), "Repeatability");
    CHECK(repeated.verdict == Verdict::not_done);
    CHECK(repeated.words == "a second weighing of 30 000 kg is missing");
    CHECK(next_step(once).find("Fill in") == std::string::npos);
    CHECK(next_step(once).find("missing") != std::string::npos);

    const double lb = 0.45359237;
    Desk section = desk("scrapyard-6", Stage::service);
    section.sheet.lines.push_back(
        read_line(TestKind::eccentricity, {PlaceKind::section, 1}, 12500.0 * lb, 12500.0 * lb, 10.0 * lb));
    CHECK(clause_of(judged(section), "Spread of the corner round and of the sections").words ==
          "only section 2 is tested: a second section is missing");

    // The largest load with a substitution load that was never compared with weights.
    for (TestLine& line : d.sheet.lines)
        if (line.test == TestKind::weighing && line.load_kg == 60000.0) line.substitute_kg = 30000.0;
    const auto largest = clause_of(judged(d), weighing_title);
    CHECK(largest.verdict == Verdict::not_done);
    CHECK(largest.words.find("line 23: what the substitution load of 30 000 kg weighs is not known") == 0);
    CHECK(next_step(d).find("Fill in") == std::string::npos);
    // A line that is empty is told as that.
    d.sheet.lines[1].indication_kg.reset();
    d.sheet.lines[1].added_kg.reset();
    CHECK(clause_of(judged(d), "Each of the repeated weighings").words == "1 of 6 lines are not read");
    CHECK(next_step(d).find("Fill in the lines that are empty.") == 0);
}

TEST_CASE("corners without a weight are not told as corners outside their limits", "[commissioning]") {
    Desk d = whole_quarry_day(Stage::verification);
    const auto blank = [&](int supports) {
        for (TestLine& line : d.sheet.lines) {
            if (line.place.kind != PlaceKind::support || line.place.index >= supports) continue;
            line.indication_kg.reset();
            line.added_kg.reset();
            line.shown = diagnosis::Shown::blank;
        }
    };
    blank(2);
    d.sheet.lines[9].indication_kg = 8680.0;  // support 3
    Survey survey = judged(d);
    CHECK(survey.verdict() == Verdict::fails);
    CHECK(survey.corners_blank == std::vector<int>{0, 1});
    CHECK(survey.corners_off == std::vector<int>{2});
    CHECK(next_step(d).find("Corners outside their limits: 3. Corners at which no weight is shown: 1, 2. ") ==
          0);
    blank(8);
    survey = judged(d);
    CHECK(survey.corners_off.empty());
    CHECK(survey.corners_blank.size() == 8);
    CHECK(next_step(d).find("No weight is shown at any corner. ") == 0);
}

TEST_CASE("survey answers no to a day of one line a test", "[cli][commissioning]") {
    namespace fs = std::filesystem;
    const fs::path path = fs::temp_directory_path() / "cornerbench-thin-day.toml";
    std::ofstream(path) << "scale = '" << cli::config("scales/quarry-8.toml") << "'\nweights = 60000\n"
                        << "[[line]]\ntest = \"zero\"\nindication = 0\nadded = 10\n"
                        << "[[line]]\ntest = \"repeatability\"\nplace = \"spread\"\nload = 30000\n"
                        << "indication = 30000\nadded = 10\n"
                        << "[[line]]\ntest = \"repeatability\"\nplace = \"spread\"\nload = 30000\n"
                        << "indication = 30000\nadded = 10\n"
                        << "[[line]]\ntest = \"eccentricity\"\nplace = \"support 1\"\nload = 400\n"
                        << "indication = 400\nadded = 10\n"
                        << "[[line]]\ntest = \"weighing\"\nplace = \"spread\"\nload = 60000\n"
                        << "indication = 60000\nadded = 10\n"
                        << "[[line]]\ntest = \"zero return\"\nindication = 0\nadded = 10\n"
                        << "[[line]]\ntest = \"discrimination\"\nplace = \"spread\"\nload = 400\n"
                        << "indication = 400\nafter = 440\n";
    const cli::Answer answer = cli::ask({"survey", path.string(), "--json"});
    CHECK(answer.code == 1);
    CHECK(answer.json()["whole"] == false);
    CHECK(answer.json()["verdict"] == "not done");
    CHECK(cli::ask({"survey", path.string()}).says("the test is not whole"));
    fs::remove(path);
}
