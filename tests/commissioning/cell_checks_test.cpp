#include <catch2/catch.hpp>

#include "sim/commissioning/cell_papers.h"
#include "tests/cli/command_line.h"

using namespace cornerbench;
using commissioning::Answer;
using commissioning::CheckLine;

namespace {

/// The quarry's scale: 60 t on eight cells of 30 t, C3, Y 12 000, Emin 100 kg.
struct Desk {
    files::ScaleFile scale;
    files::Standard standard;
    files::CellStandard cells;

    Desk() {
        const auto loaded = files::load_scale(cli::config("scales/quarry-8.toml"));
        REQUIRE(loaded);
        scale = *loaded.value;
        const auto of_scale = files::find_standard(scale.standard, scale.path);
        REQUIRE(of_scale);
        standard = *of_scale.value;
        const auto of_cells = files::find_cell_standard(standard.modules->cell_standard, scale.path);
        REQUIRE(of_cells);
        cells = *of_cells.value;
    }

    commissioning::Design design() const { return {scale, standard, {}, {}, cells}; }

    std::optional<CheckLine> find(const std::string& id) const {
        auto lines = commissioning::check_cells(design());
        for (const CheckLine& more : commissioning::check_modules(design())) lines.push_back(more);
        for (const CheckLine& each : lines)
            if (each.id == id) return each;
        return std::nullopt;
    }
    CheckLine line(const std::string& id) const {
        const auto found = find(id);
        INFO(id);
        REQUIRE(found);
        CHECK_FALSE(found->clause.empty());
        CHECK((found->answer == Answer::pass) == found->mend.empty());
        return *found;
    }
    Answer answer(const std::string& id) const { return line(id).answer; }
    files::Certificates& papers() { return scale.certificates; }
    scale::Cell& cell(unsigned i) { return scale.description.cells[i]; }
};

}  // namespace

TEST_CASE("the worked row's cells pass by their papers", "[commissioning]") {
    // OIML R 60-1:2021: C3 is 3 000 intervals of class C, which has 500 to 10 000; Y 12 000 of 30 t is 2.5 kg
    // (2.49 kg of Emax - Emin); Z 3 000 is a DR of Emax - Emin over 6 000, which is 0.5 v.
    Desk desk;
    CHECK(desk.answer("cell-class") == Answer::pass);
    CHECK(*desk.line("cell-intervals").value == 3000.0);
    CHECK(*desk.line("cell-fewest-intervals").limit == 500.0);
    CHECK(*desk.line("cell-most-intervals").limit == 10000.0);
    CHECK(*desk.line("cell-y").limit == Approx(29900.0 / 12000.0));
    CHECK(desk.answer("cell-y") == Answer::pass);
    CHECK(*desk.line("cell-return").value == Approx(29900.0 / 6000.0));
    CHECK(*desk.line("cell-return").limit == Approx(0.5 * 29900.0 / 3000.0));
    CHECK(desk.answer("cell-return") == Answer::pass);
    CHECK(*desk.line("cell-share").value == 0.7);
    CHECK(*desk.line("error-shares").value == Approx(0.49 + 0.25 + 0.25));
    CHECK_FALSE(desk.find("cell-creep"));
    CHECK_FALSE(desk.find("cell-error"));
    CHECK_FALSE(desk.find("cell-zero-warmth"));
    CHECK_FALSE(desk.find("cells-return"));
}

TEST_CASE("intervals of cells end where those of their class end", "[commissioning]") {
    Desk desk;
    const auto at = [&](const char* cell_class, double intervals, const char* id) {
        desk.papers().cell_class = cell_class;
        desk.papers().cell_intervals = intervals;
        return desk.answer(id);
    };
    // OIML R 60-1:2021: A from 50 000; B 5 000 to 100 000; C 500 to 10 000; D 100 to 1 000.
    CHECK(at("A", 50000, "cell-fewest-intervals") == Answer::pass);
    CHECK(at("A", 49999, "cell-fewest-intervals") == Answer::fail);
    CHECK_FALSE(desk.find("cell-most-intervals"));
    CHECK(at("B", 5000, "cell-fewest-intervals") == Answer::pass);
    CHECK(at("B", 4999, "cell-fewest-intervals") == Answer::fail);
    CHECK(at("B", 100000, "cell-most-intervals") == Answer::pass);
    CHECK(at("B", 100001, "cell-most-intervals") == Answer::fail);
    CHECK(at("C", 500, "cell-fewest-intervals") == Answer::pass);
    CHECK(at("C", 499, "cell-fewest-intervals") == Answer::fail);
    CHECK(at("C", 10000, "cell-most-intervals") == Answer::pass);
    CHECK(at("C", 10001, "cell-most-intervals") == Answer::fail);
    CHECK(at("D", 100, "cell-fewest-intervals") == Answer::pass);
    CHECK(at("D", 99, "cell-fewest-intervals") == Answer::fail);
    CHECK(at("D", 1000, "cell-most-intervals") == Answer::pass);
    CHECK(at("D", 1001, "cell-most-intervals") == Answer::fail);
}

TEST_CASE("cells must be of a class that serves the scale's", "[commissioning]") {
    // OIML R 76-1:2006, annex F (from memory): A, B and C for class III, D too for IIII.
    Desk desk;
    const auto with = [&](const char* mark) {
        desk.papers().cell_class = mark;
        return desk.answer("cell-class");
    };
    CHECK(with("B5") == Answer::pass);
    CHECK(with("D1") == Answer::fail);
    desk.scale.accuracy_class = "IIII";
    CHECK(with("D1") == Answer::pass);
    CHECK(with("E1") == Answer::question);
    CHECK(desk.line("cell-class").mend.find("A, B, C, D") != std::string::npos);
    CHECK(with("") == Answer::question);
    CHECK(desk.line("cell-class").mend.find("cell_class") != std::string::npos);
}

TEST_CASE("papers that disagree with themselves are asked about", "[commissioning]") {
    Desk desk;
    desk.papers().cell_intervals = 3000.0;
    CHECK(desk.answer("cell-mark") == Answer::pass);
    desk.papers().cell_intervals = 4000.0;
    CHECK(desk.answer("cell-mark") == Answer::question);
    desk.papers().cell_v_min_kg = 4.17;
    CHECK(desk.answer("cell-y") == Answer::question);
    // What one of the two says is enough.
    desk.papers().cell_v_min_kg = 0.0;
    CHECK_FALSE(desk.find("cell-y"));
    CHECK(*desk.line("v-min").value == Approx(29900.0 / 12000.0));
    desk.papers().cell_Y = 0.0;
    CHECK(desk.answer("v-min") == Answer::question);
    desk.papers().cell_class = "C";
    desk.papers().cell_intervals = 0.0;
    CHECK(desk.answer("cell-intervals") == Answer::question);
}

TEST_CASE("p_LC and DR turn at R 60's limits", "[commissioning]") {
    // OIML R 60-1:2021: p_LC 0.3 to 0.8; DR at most 0.5 v, so Z no less than n_LC.
    Desk desk;
    const auto share = [&](double p) {
        desk.papers().cell_share = p;
        return desk.answer("cell-share");
    };
    CHECK(share(0.3) == Answer::pass);
    CHECK(share(0.299) == Answer::fail);
    CHECK(share(0.8) == Answer::pass);
    CHECK(share(0.801) == Answer::fail);
    // R 76-1:2006, 3.10.2.1 (from memory): with 0.5 and 0.5 for the others, squares of shares sum to 1 at
    // most.
    CHECK(desk.answer("error-shares") == Answer::fail);
    CHECK(share(0.7) == Answer::pass);
    CHECK(desk.answer("error-shares") == Answer::pass);
    desk.papers().cell_Z = 2999.0;
    CHECK(desk.answer("cell-return") == Answer::fail);
    desk.papers().cell_Z = 3000.0;
    CHECK(desk.answer("cell-return") == Answer::pass);
}

TEST_CASE("what a file says of its cells' errors is held to their class", "[commissioning]") {
    // OIML R 60-1:2021, C3 with p_LC 0.7: creep 0.735 v in 30 min; zero within 0.7 v_min in 5 K.
    Desk desk;
    for (const double sign : {1.0, -1.0}) {
        desk.cell(2).creep = sign * 0.7349 / 3000.0;
        CHECK(desk.answer("cell-creep") == Answer::pass);
        CHECK(*desk.line("cell-creep").limit == Approx(0.735));
        desk.cell(2).creep = sign * 0.7351 / 3000.0;
        CHECK(desk.answer("cell-creep") == Answer::fail);
        desk.cell(5).zero_per_K = sign * 0.7 * 2.499 / 5.0 / 30000.0;
        CHECK(desk.answer("cell-zero-warmth") == Answer::pass);
        desk.cell(5).zero_per_K = sign * 0.7 * 2.501 / 5.0 / 30000.0;
        CHECK(desk.answer("cell-zero-warmth") == Answer::fail);
    }
    // A bow b alone, told from the line through three quarters, is 4 b x (3/4 - x): 7/18 b at 500 v, where
    // 0.35 v is allowed, 9/16 b at 1 125 v, where 0.7 v is, and -b at 3 000 v, where 1.05 v is.
    desk.cell(0).nonlinearity = 0.899 / 3000.0;
    CHECK(desk.answer("cell-error") == Answer::pass);
    CHECK(*desk.line("cell-error").limit == Approx(0.35));
    desk.cell(0).nonlinearity = 0.901 / 3000.0;
    CHECK(desk.answer("cell-error") == Answer::fail);
    // A loop h alone is 4 h x (1 - x): 5/9 h at 500 v, and h at 1 500 v, where 0.7 v is allowed.
    desk.cell(0).nonlinearity = 0.0;
    desk.cell(0).hysteresis = 0.629 / 3000.0;
    CHECK(desk.answer("cell-error") == Answer::pass);
    CHECK(*desk.line("cell-error").limit == Approx(0.35));
    desk.cell(0).hysteresis = 0.631 / 3000.0;
    CHECK(desk.answer("cell-error") == Answer::fail);
}

TEST_CASE("a multi-interval scale asks more of what is left", "[commissioning]") {
    // OIML R 76-1:2006, annex F (from memory): DR of a multi-interval scale's cells, through the scale, at
    // most half the smallest e.
    Desk desk;
    desk.scale.description.finer[0] = {30000.0, 10.0};
    desk.papers().cell_Z = 29900.0 * 8.0 / (2.0 * 5.0);
    CHECK(*desk.line("cells-return").limit == Approx(5.0));
    CHECK(desk.answer("cells-return") == Answer::pass);
    desk.papers().cell_Z *= 0.999;
    CHECK(desk.answer("cells-return") == Answer::fail);
    // Without a Z what the class allows is taken: half of 29 900 kg over 3 000, eight times.
    desk.papers().cell_Z = 0.0;
    CHECK(*desk.line("cells-return").value == Approx(8.0 * 0.5 * 29900.0 / 3000.0));
    desk.papers().cell_class.clear();
    CHECK(desk.answer("cells-return") == Answer::question);
}

TEST_CASE("papers of cells are asked for only where a standard has classes for them",
          "[cli][commissioning]") {
    for (const char* name : {"elevator-10", "scrapyard-6"}) {
        const auto document =
            cli::ask({"check", cli::config("scales/" + std::string(name) + ".toml"), "--json"}).json();
        for (const auto& each : document["checks"]) CHECK(each["check"] != "cell-class");
    }
    for (const char* name : {"quarry-8", "sawmill-4", "harbour-8", "depot-6"}) {
        INFO(name);
        const auto document =
            cli::ask({"check", cli::config("scales/" + std::string(name) + ".toml"), "--json"}).json();
        for (const auto& each : document["checks"]) {
            INFO(each["check"]);
            CHECK(each["mend"].dump().find("the file does not say") == std::string::npos);
        }
    }
}
