#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

namespace fs = std::filesystem;

namespace {

const std::string quarry = config("scales/quarry-8.toml");

std::string text_of(const std::string& path) {
    std::ifstream in(path);
    return {std::istreambuf_iterator<char>(in), {}};
}

/// The errors before rounding that `corners` reports, over supports and then on sections.
std::vector<double> corner_errors(std::vector<std::string> words) {
    words.insert(words.begin(), "corners");
    words.push_back("--json");
    const auto document = ask(words).json();
    std::vector<double> errors;
    for (const char* list : {"supports", "sections"})
        for (const auto& each : document[list]) errors.push_back(each["error_before_rounding"].get<double>());
    return errors;
}

void check_point(const nlohmann::json& point, const std::vector<double>& corners) {
    REQUIRE(point["outputs"].size() == corners.size());
    // 'corners' rounds its JSON to a thousandth of the division's places.
    for (std::size_t i = 0; i < corners.size(); ++i)
        CHECK(point["outputs"][i].get<double>() == Approx(corners[i]).margin(6.0e-4));
}

}  // namespace

TEST_CASE("a sweep of a cause is the corner test at every value", "[cli]") {
    const auto document = ask({"sweep", quarry, "loose-terminal cell=5 wire=S+ ohm", "2", "200", "--log",
                               "--steps", "3", "--show", "corners,sections", "--mass", "10000", "--with",
                               "rubbing support=2 kN_per_mm=15 limit_kN=2.5", "--json"})
                              .json();
    REQUIRE(document["points"].size() == 3);
    for (const auto& point : document["points"])
        check_point(point, corner_errors({quarry, "--mass", "10000", "--with",
                                          "rubbing support=2 kN_per_mm=15 limit_kN=2.5", "--with",
                                          "loose-terminal cell=5 wire=S+ ohm=" +
                                              std::to_string(point["value"].get<double>())}));
}

TEST_CASE("a sweep of a key is the corner test of the file that says so", "[cli]") {
    const auto document =
        ask({"sweep", quarry, "deck.twist_stiffness_kN_m_per_rad", "0", "20000", "--steps", "3", "--show",
             "corners,sections", "--with", "weak-output cell=3 ratio=0.98", "--json"})
            .json();
    const std::string before = text_of(quarry);
    const std::size_t at = before.find("twist_stiffness_kN_m_per_rad");
    REQUIRE(at != std::string::npos);
    const fs::path path = fs::temp_directory_path() / "cornerbench-sweep-test.toml";
    for (const auto& point : document["points"]) {
        std::string text = before;
        text.replace(at, text.find('\n', at) - at,
                     "twist_stiffness_kN_m_per_rad = " + std::to_string(point["value"].get<double>()));
        std::ofstream(path) << text;
        check_point(point, corner_errors({path.string(), "--with", "weak-output cell=3 ratio=0.98"}));
    }
    fs::remove(path);
}

TEST_CASE("table, CSV and JSON of a sweep say the same, and the table fits a terminal", "[cli]") {
    const fs::path csv = fs::temp_directory_path() / "cornerbench-sweep-test.csv";
    const fs::path svg = fs::temp_directory_path() / "cornerbench-sweep-test.svg";
    std::vector<std::string> words{
        "sweep",
        config("scales/elevator-10.toml"),
        "weak-output cell=2 ratio",
        "0",
        "1",
        "--steps",
        "4",
        "--show",
        "spread,corners,sections,display,zero,span,reading,signals,excitation,current",
        "--load",
        "mass=1000 over=1",
        "--csv",
        csv.string(),
        "--svg",
        svg.string()};
    fs::remove(csv);
    fs::remove(svg);
    const Answer table = ask(words);
    CHECK(table.code == 0);
    std::istringstream lines(table.out);
    for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
    // What is there already stays as it is, be it an earlier table or somebody's scale.
    const fs::path own = fs::temp_directory_path() / "cornerbench-sweep-own.toml";
    std::ofstream(own) << text_of(quarry);
    for (const std::string& written : {csv.string(), svg.string()}) {
        fs::remove(written);
        CHECK(ask(words).complains("is there already"));
        CHECK_FALSE(fs::exists(written));
        std::vector<std::string> over = words;
        std::replace(over.begin(), over.end(), written, own.string());
        CHECK(ask(over).code == 4);
        CHECK(text_of(own.string()) == text_of(quarry));
        words.push_back("--force");
        REQUIRE(ask(words).code == 0);
        words.pop_back();
    }
    fs::remove(own);
    words.push_back("--force");
    words.push_back("--json");
    const auto document = ask(words).json();
    CHECK(document["columns"].size() == 7 + 10 + 5 + 10);
    std::istringstream rows(text_of(csv.string()));
    std::string row;
    std::getline(rows, row);
    CHECK(row.starts_with("weak-output_cell=2_ratio,spread_"));
    for (const auto& point : document["points"]) {
        REQUIRE(std::getline(rows, row));
        std::istringstream cells(row);
        std::string cell;
        std::getline(cells, cell, ',');
        CHECK(std::stod(cell) == Approx(point["value"].get<double>()).epsilon(1.0e-9));
        for (const auto& output : point["outputs"]) {
            std::getline(cells, cell, ',');
            if (output.is_null()) {
                CHECK((cell.empty() || cell == "\r"));
            } else {
                CHECK(std::stod(cell) == Approx(output.get<double>()).epsilon(1.0e-9).margin(1.0e-12));
            }
        }
    }
    const std::string picture = text_of(svg.string());
    CHECK(picture.find("<svg ") == 0);
    for (const char* name : {">spread<", ">corner 10<", ">section 5<", ">display<", ">zero<"})
        CHECK(picture.find(name) != std::string::npos);
    CHECK(picture.find(">reading<") == std::string::npos);
    CHECK(picture.find("nan") == std::string::npos);
    fs::remove(csv);
    fs::remove(svg);
}

TEST_CASE("what cannot be swept is refused with what can", "[cli]") {
    const auto complaint = [](std::vector<std::string> words) {
        words.insert(words.begin(), {"sweep", quarry});
        const Answer answer = ask(words);
        CHECK(answer.code == 2);
        CHECK(answer.out.empty());
        return answer.err;
    };
    const auto says = [](const std::string& text, const char* part) {
        INFO(text);
        CHECK(text.find(part) != std::string::npos);
    };
    says(complaint({"home_run.lenth_m", "1", "2"}), "nearest: home_run.length_m");
    says(complaint({"home_run.length_m", "-10", "200"}), "must be at least 0.1 and at most 1 000 (m)");
    says(complaint({"deck.section_x_m.5", "1", "2"}), "4 section lines");
    says(complaint({"cell.9.capacity", "1", "2"}), "8 cells");
    says(complaint({"home_run.length_m", "5", "5"}), "two different ends");
    says(complaint({"home_run.length_m", "0", "5", "--log"}), "of one sign");
    says(complaint({"loose-terminal cell=5 wire=S+ ohm", "1", "1e9"}), "valid: ohm from");
    says(complaint({"loose-terminal cell=5 wire=S+ ohm=3", "1", "2"}), "leave the value away");
    says(complaint({"loose-termnal cell=5 wire=S+ ohm", "1", "2"}), "nearest: loose-terminal");
    says(complaint({"upside-down cell=5", "1", "2"}), "no size to sweep");
    says(complaint({"rubbing support=2", "1", "2"}), "kN_per_mm or limit_kN");
    says(complaint({"rubbing support=2 kN_per_mm limit_kN=2", "5", "50"}), "what is swept stands last");
    says(complaint({"home_run.length_m", "5", "50", "--csv", "nowhere/x", "--svg", "nowhere/y/../x"}),
         "a name for each");
    says(complaint({"weak-output cell=2", "0.5", "1", "--show", "cornr"}), "nearest: corner");
    says(complaint({"weak-output cell=2", "0.5", "1", "--show", "corner=9"}), "corner=1 to 8");
    says(complaint({"weak-output cell=2", "0.5", "1", "--mass", "1e9"}), "valid: one division to Max");
}

TEST_CASE("a swept size has its unit, once", "[cli]") {
    const auto unit = [](const char* cause, const char* from, const char* to) {
        return ask({"sweep", quarry, cause, from, to, "--steps", "2", "--json"}).json()["unit"];
    };
    CHECK(unit("rubbing support=2 kN_per_mm=15 limit_kN", "0.5", "5") == "kN");
    CHECK(unit("rubbing support=2 limit_kN=2 kN_per_mm", "5", "15") == "kN/mm");
    CHECK(unit("weak-output cell=2 ratio", "0.5", "1") == "");
    CHECK(unit("loose-terminal cell=5 wire=S+ ohm", "1", "2") == "ohm");

    const std::string csv = (fs::temp_directory_path() / "cornerbench-sweep-head.csv").string();
    REQUIRE(
        ask({"sweep", quarry, "loose-terminal cell=5 wire=S+ ohm", "1", "2", "--csv", csv, "--force"}).code ==
        0);
    CHECK(text_of(csv).starts_with("loose-terminal_cell=5_wire=S+_ohm,"));
    fs::remove(csv);

    CHECK(ask({"sweep", quarry, "cell.rated_output_tolerance_percent", "0.1", "1", "--steps", "2"})
              .complains("'cornerbench spread' shows what tolerances do"));
}
