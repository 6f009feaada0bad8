#include "sim/files/cell_standard_file.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "sim/files/standard_file.h"
#include "sim/files/standard_folders.h"

using namespace cornerbench;

namespace {

files::CellStandard r60() {
    const auto loaded = files::find_cell_standard("OIML R 60", "scale.toml");
    INFO(files::to_string(loaded.errors));
    REQUIRE(loaded);
    return *loaded.value;
}

std::string shipped_text() {
    return std::string(files::compiled_in_standard(files::cell_standard_file_name));
}

/// The shipped file with one part replaced.
std::string with(const std::string& part, const std::string& other) {
    std::string text = shipped_text();
    const auto at = text.find(part);
    REQUIRE(at != std::string::npos);
    return text.replace(at, part.size(), other);
}

std::string only_error(const std::string& text) {
    const auto loaded = files::parse_cell_standard(text, "c.toml");
    REQUIRE_FALSE(loaded);
    INFO(files::to_string(loaded.errors));
    REQUIRE(loaded.errors.size() == 1);
    return files::to_string(loaded.errors.front());
}

}  // namespace

TEST_CASE("limits of load cells hold at every band's edge", "[limits]") {
    // OIML R 60-1:2021, table 4: p_LC times 0.5, 1.0 and 1.5 v, upper ends inclusive.
    struct Edges {
        const char* name;
        double first;
        double second;
        double last;
    };
    const Edges classes[] = {{"A", 50000, 200000, 1.0e6},
                             {"B", 5000, 20000, 100000},
                             {"C", 500, 2000, 10000},
                             {"D", 50, 200, 1000}};
    const files::CellStandard standard = r60();
    REQUIRE(standard.classes.size() == std::size(classes));
    for (const Edges& each : classes) {
        INFO(each.name);
        const files::CellClass* found = standard.find_class(each.name);
        REQUIRE(found != nullptr);
        const auto limit = [&](double load_v) { return scale::limit_divisions(found->limits, load_v); };
        CHECK(limit(0.0) == 0.5);
        CHECK(limit(each.first) == 0.5);
        CHECK(limit(each.first + 1.0) == 1.0);
        CHECK(limit(each.second) == 1.0);
        CHECK(limit(each.second + 1.0) == 1.5);
        CHECK(limit(each.last) == 1.5);
    }
    CHECK(standard.find_class("C3") == nullptr);
}

TEST_CASE("classes of load cells have the intervals that R 60 gives them", "[limits]") {
    // OIML R 60-1:2021: A from 50 000; B 5 000 to 100 000; C 500 to 10 000; D 100 to 1 000. p_LC 0.3 to 0.8,
    // 0.7 if not stated. Zero within p_LC v_min in 5 K for B, C and D; in 2 K for A (from memory).
    const files::CellStandard standard = r60();
    const auto check = [&](const char* name, double least, double most, double warmth_K) {
        INFO(name);
        const files::CellClass* found = standard.find_class(name);
        REQUIRE(found != nullptr);
        CHECK(found->least_intervals == least);
        CHECK(found->most_intervals == most);
        CHECK(found->zero_warmth_K == warmth_K);
        CHECK_FALSE(found->clause.empty());
    };
    check("A", 50000, 0, 2);
    check("B", 5000, 100000, 5);
    check("C", 500, 10000, 5);
    check("D", 100, 1000, 5);
    CHECK(standard.usual_share == 0.7);
    CHECK(standard.least_share == 0.3);
    CHECK(standard.most_share == 0.8);
    CHECK(standard.edition.find("2021") != std::string::npos);
    for (const std::string& clause : {standard.errors_clause, standard.creep_clause, standard.return_clause,
                                      standard.ratios_clause, standard.warmth_clause})
        CHECK_FALSE(clause.empty());
}

TEST_CASE("the worked values of creep and least load return come out", "[limits]") {
    // OIML R 60-1:2021: creep in 30 min at most 0.7 of the limit of error, from 20 to 30 min 0.15 of it; for
    // C3 at 3 000 v and p_LC 0.7 that is 0.735 v and 0.1575 v. DR at most 0.5 v.
    const files::CellStandard standard = r60();
    const double limit_v =
        standard.usual_share * scale::limit_divisions(standard.find_class("C")->limits, 3000.0);
    CHECK(limit_v == Approx(1.05));
    CHECK(standard.creep_min == 30.0);
    CHECK(standard.late_from_min == 20.0);
    CHECK(standard.creep_limit_errors * limit_v == Approx(0.735));
    CHECK(standard.late_limit_errors * limit_v == Approx(0.1575));
    CHECK(standard.return_intervals == 0.5);
}

TEST_CASE("v_min follows from Y as in published tables", "[limits]") {
    // Y 12 000: 0.42, 0.83, 2.5 and 4.17 kg for 5, 10, 30 and 50 t (makers' published tables, without Emin).
    const files::CellStandard standard = r60();
    const std::pair<double, double> rows[] = {
        {5000.0, 0.42}, {10000.0, 0.83}, {30000.0, 2.5}, {50000.0, 4.17}};
    for (const auto& [capacity_kg, v_min_kg] : rows)
        CHECK(standard.measuring_range_kg(capacity_kg, 0.0) / 12000.0 == Approx(v_min_kg).margin(0.005));
    // OIML R 60-1:2021: Y and Z are told of Emax - Emin.
    CHECK(standard.measuring_range_kg(30000.0, 100.0) == 29900.0);
    const auto older = files::parse_cell_standard(with("less_least_load = true", ""), "c.toml");
    REQUIRE(older);
    CHECK(older.value->measuring_range_kg(30000.0, 100.0) == 30000.0);
}

TEST_CASE("a cell's mark is its class and thousands of intervals", "[files]") {
    // OIML R 60-1:2021: "C3" is class C with 3 000 verification intervals.
    const auto check = [](const char* mark, const char* name, double intervals) {
        INFO(mark);
        const files::CellMark read = files::read_cell_mark(mark);
        CHECK(read.class_name == name);
        CHECK(read.intervals == intervals);
    };
    check("C3", "C", 3000);
    check("C 1.5", "C", 1500);
    check("D1", "D", 1000);
    check("B", "B", 0);
    check("", "", 0);
    check("C3x", "C3x", 0);
    check("III L", "III L", 0);
}

TEST_CASE("errors of a cells' standard name line, key, value and what would be valid", "[files]") {
    CHECK(only_error(with("limit_intervals = 0.5", "limit_intervals = -1")).find("limit_intervals = -1") !=
          std::string::npos);
    CHECK(only_error(with("loaded_min = 30", "loaded_min = 20")).find("must lie before loaded_min") !=
          std::string::npos);
    CHECK(only_error(with("usual_share = 0.7", "usual_share = 0.9")).find("least_share to most_share") !=
          std::string::npos);
    CHECK(only_error(with("limit_errors = 0.7", "limit_erors = 0.7\nlimit_errors = 0.7"))
              .find("limit_errors") != std::string::npos);
    CHECK(
        only_error(with("most_intervals = 10000", "most_intervals = 100")).find("least_intervals or more") !=
        std::string::npos);
    CHECK(only_error(with("{ up_to = 2000, limit = 1.0 }", "{ up_to = 400, limit = 1.0 }"))
              .find("above the one before") != std::string::npos);
    CHECK(only_error(with("[zero_warmth]\nclause = \"5.6.1.3\"", "")).find("zero_warmth") !=
          std::string::npos);
    const std::string text = shipped_text();
    CHECK(only_error(text.substr(0, text.find("[[class]]"))).find("class") != std::string::npos);
    CHECK_FALSE(files::parse_cell_standard("", "c.toml"));
}

TEST_CASE("a standard of cells and one of scales are told apart", "[files]") {
    const auto scales = files::parse_standard(shipped_text(), "s.toml");
    REQUIRE_FALSE(scales);
    REQUIRE(scales.errors.size() == 1);
    CHECK(files::to_string(scales.errors.front()).find("a standard of load cells") != std::string::npos);
    const auto cells = files::parse_cell_standard(
        files::compiled_in_standard(files::standard_file_name("OIML R 76")), "c.toml");
    REQUIRE_FALSE(cells);
    CHECK(files::to_string(cells.errors.front()).find("a standard's table of limits") != std::string::npos);
    // Nobody is offered the cells' standard for a scale.
    const auto unknown = files::choose_standard("oiml-r61", CORNERBENCH_SOURCE_DIR "/configs/scales/x.toml");
    REQUIRE_FALSE(unknown);
    CHECK(files::to_string(unknown.errors.front()).find("oiml-r60") == std::string::npos);
}

TEST_CASE("the cells' standard beside a scale goes before the one inside the program", "[files]") {
    namespace fs = std::filesystem;
    std::ifstream stream(CORNERBENCH_SOURCE_DIR "/configs/standards/oiml-r60.toml", std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    CHECK(text.str() == shipped_text());

    const fs::path top = fs::temp_directory_path() / "cornerbench-cell-standard-test";
    fs::remove_all(top);
    fs::create_directories(top / "standards");
    const std::string scale = (top / "x.toml").string();
    const auto none = files::find_cell_standard("works-cells", scale);
    REQUIRE_FALSE(none);
    CHECK(files::to_string(none.errors.front()).find("OIML R 60") != std::string::npos);
    std::ofstream(top / "standards" / "works-cells.toml") << with("name = \"OIML R 60\"", "name = \"Works\"");
    const auto own = files::find_cell_standard("works-cells", scale);
    REQUIRE(own);
    CHECK(own.value->name == "Works");
    fs::remove_all(top);
}
