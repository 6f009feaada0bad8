#include <catch2/catch.hpp>
#include <cmath>

#include "firmware/scale/causes.h"
#include "sim/field/fault_draw.h"
#include "sim/field/fault_words.h"
#include "sim/files/scale_file.h"
#include "tests/cli/command_line.h"

using namespace cornerbench;
using namespace cornerbench::cli;

namespace {

const std::vector<std::string> shipped{"quarry-8",    "depot-6",     "sawmill-4",
                                       "elevator-10", "scrapyard-6", "harbour-8"};

std::string scale_path(const std::string& name) {
    return config("scales/" + name + ".toml");
}

/// Ratio of a weak cell that makes its corner read `low` of the load too little, about.
std::string weak(int cell, double ratio) {
    return "weak-output cell=" + std::to_string(cell) + " ratio=" + std::to_string(ratio);
}

}  // namespace

TEST_CASE("every shipped scale passes its own corner test as described", "[cli]") {
    for (const std::string& name : shipped) {
        INFO(name);
        const Answer text = ask({"corners", scale_path(name)});
        CHECK(text.code == 0);
        CHECK(text.err.empty());
        CHECK(text.says("Within the limits."));
        const auto document = ask({"corners", scale_path(name), "--json"}).json();
        CHECK(document["schema"] == 1);
        CHECK(document["within"] == true);
        CHECK(document["supports"].size() == 2 * document["sections"].size());
        for (const auto& support : document["supports"]) CHECK(support["error"] == 0.0);
        std::istringstream lines(text.out);
        for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
    }
}

TEST_CASE("the test load is the standard's", "[cli]") {
    // OIML R 76-1:2006 (E), 3.6.2: Max/(n - 1) on n > 4 supports, Max/3 else, here in whole divisions.
    CHECK(ask({"corners", scale_path("quarry-8"), "--json"}).json()["mass"] == 8580.0);
    CHECK(ask({"corners", scale_path("sawmill-4"), "--json"}).json()["mass"] == 10.0);
    // NIST Handbook 44, 2.20: 12.5 % of capacity (from memory).
    CHECK(ask({"corners", scale_path("elevator-10"), "--json"}).json()["mass"] == 25000.0);
}

TEST_CASE("the verdict turns at the limit of OIML R 76", "[cli]") {
    // R 76-1:2006 (E), 3.5.1 and 3.5.2: 10 000 kg are 500 e, where 0.5 e are allowed at verification and 1 e
    // in service; 10 020 kg are one more, where it is twice that.
    const std::string scale = scale_path("quarry-8");
    const auto verdict = [&](const std::string& mass, const std::string& stage, double ratio) {
        const Answer answer =
            ask({"corners", scale, "--mass", mass, "--stage", stage, "--with", weak(3, ratio), "--json"});
        CHECK(answer.code == (answer.json()["within"] == true ? 0 : 1));
        return answer.json()["within"] == true;
    };
    // A cell at 0.998 takes 20 kg off 10 t over it, less what twist puts on others: shown -20 kg, 1 e.
    CHECK(verdict("10000", "service", 0.9980));
    CHECK_FALSE(verdict("10000", "verification", 0.9980));
    CHECK(verdict("10020", "verification", 0.9980));
    // At 0.996 it is 2 e.
    CHECK_FALSE(verdict("10000", "service", 0.9960));
    CHECK(verdict("10020", "service", 0.9960));
    CHECK_FALSE(verdict("10020", "verification", 0.9960));
}

TEST_CASE("the verdict turns at the tolerance of NIST Handbook 44, and the spread counts", "[cli]") {
    // Handbook 44, 2.20, table 6, III L, maintenance: 1 d to 500 d, 2 d to 1 000 d; results also agree among
    // themselves within the tolerance (from memory). 10 000 lb are 500 d.
    const std::string scale = scale_path("elevator-10");
    const auto shown = [&](double high, double low) {
        return ask({"corners", scale, "--mass", "10000", "--unrounded", "--json", "--with", weak(2, low),
                    "--with", "wrong-cell cell=9 ratio=" + std::to_string(high)})
            .json();
    };
    const auto both = shown(1.0018, 0.9982);
    for (const auto& support : both["supports"]) CHECK(support["within"] == true);
    CHECK(both["support_spread"]["spread"].get<double>() > 20.0);
    CHECK(both["support_spread"]["within"] == false);
    CHECK(both["within"] == false);
    const auto one = shown(1.0, 0.9985);
    CHECK(one["support_spread"]["within"] == true);
    CHECK(one["within"] == true);
    CHECK(ask({"corners", scale_path("quarry-8"), "--json"}).json()["support_spread"].is_null());
}

TEST_CASE("rounding does not hide an error that R 76 limits", "[cli]") {
    // R 76-1:2006, 3.5.3.2 and A.4.4.3 (from memory): the rounding is taken out before judging.
    std::vector<std::string> line{"corners", scale_path("quarry-8"), "--with", "altered-cable cell=2 m=-5.6"};
    const Answer rounded = ask(line);
    line.push_back("--unrounded");
    const Answer exact = ask(line);
    CHECK(rounded.code == exact.code);
    CHECK(rounded.says("Judged by the error before rounding (R 76-1:2006 (E), A.4.4.3, 3.5.3.2)."));
    CHECK(ask({"corners", scale_path("elevator-10")}).says("Judged by what is shown, as NIST Handbook 44"));
}

TEST_CASE("the standard is named before its clauses, and the support that lifts by its number", "[cli]") {
    const Answer answer =
        ask({"corners", scale_path("quarry-8"), "--with", "unseated-support support=5 mm=25"});
    CHECK(answer.out.find("OIML R 76") < answer.out.find("3.6.2.1"));
    CHECK(answer.says("Support 5 lifts off its cell with the deck empty"));
    CHECK_FALSE(answer.says("Support 1 lifts"));
}

TEST_CASE("no test load is a test load of nothing", "[cli]") {
    CHECK(ask({"corners", scale_path("quarry-8"), "--mass", "0"}).code == 2);
    CHECK(ask({"corners", scale_path("quarry-8"), "--mass", "0"}).complains("valid: 20 kg to 60 000 kg"));
}

TEST_CASE("a made-up sheet shows no weight past Max + 9 e", "[cli]") {
    // OIML R 76-1:2006, 4.2.3 (from memory). 60 t over a cell that gives half as much again.
    const Answer sheet = ask({"sheet", scale_path("quarry-8"), "--exact", "--readings", "corners", "--mass",
                              "60000", "--with", "wrong-cell cell=3 ratio=1.5"});
    CHECK(sheet.code == 0);
    CHECK(sheet.says("shown = \"over range\""));
}

TEST_CASE("rounded results are whole divisions, unrounded ones are not", "[cli]") {
    const auto off = [](const nlohmann::json& document) {
        double most = 0.0;
        for (const auto& support : document["supports"]) {
            const double divisions = support["error_d"].get<double>();
            most = std::max(most, std::fabs(divisions - std::round(divisions)));
        }
        return most;
    };
    const std::vector<std::string> line{"corners", scale_path("quarry-8"), "--with", weak(3, 0.9973),
                                        "--json"};
    CHECK(off(ask(line).json()) == 0.0);
    auto exact = line;
    exact.push_back("--unrounded");
    CHECK(off(ask(exact).json()) > 0.1);
}

TEST_CASE("every cause that a shipped scale can have is taken by --with", "[cli]") {
    for (const std::string& name :
         {std::string("quarry-8"), std::string("sawmill-4"), std::string("harbour-8")}) {
        const auto scale = files::load_scale(scale_path(name));
        REQUIRE(scale);
        field::RandomSource random(17);
        for (int i = 0; i < scale::cause_count; ++i) {
            const auto cause = static_cast<scale::Cause>(i);
            if (!scale::possible(scale.value->description, cause) || cause == scale::Cause::unlisted)
                continue;
            const scale::Fault fault = field::draw_fault_of(scale.value->description, cause, random);
            const std::string words = field::fault_words(fault, scale.value->description);
            INFO(name << ": " << words);
            const Answer answer = ask({"corners", scale_path(name), "--with", words, "--json"});
            CHECK((answer.code == 0 || answer.code == 1));
            CHECK(answer.json()["faults"][0] == words);
            CHECK(ask({"corners", scale_path(name), "--with", words}).code == answer.code);
        }
    }
}

TEST_CASE("a display without a weight is outside every limit and says why", "[cli]") {
    const Answer blank = ask({"corners", scale_path("depot-6"), "--with", "open-wire cell=1 wire=S+",
                              "--with", "crossed-pairs cell=2 wires=E+,S+"});
    CHECK(blank.code == 1);
    CHECK((blank.says("over range") || blank.says("under range")));
    CHECK(blank.says("Outside the limits."));
}

TEST_CASE("causes are listed, shown in full and printed as JSON", "[cli]") {
    const Answer list = ask({"causes"});
    CHECK(list.code == 0);
    std::istringstream lines(list.out);
    for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
    const auto document = ask({"causes", "--json", "--scale", scale_path("harbour-8")}).json();
    CHECK(document["schema"] == 1);
    REQUIRE(document["causes"].size() == scale::cause_count);
    double sum = 0.0;
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto& cause = document["causes"][static_cast<std::size_t>(i)];
        const std::string name = scale::name_of(static_cast<scale::Cause>(i));
        CHECK(cause["name"] == name);
        CHECK(list.says(name));
        CHECK(ask({"causes", name}).says("What to do"));
        CHECK(ask({"causes", name}).says("cornerbench keys priors"));
        sum += cause["prior"].get<double>();
        if (cause["possible"] == false) CHECK(cause["prior"] == 0.0);
    }
    CHECK(sum == Approx(1.0));
}
