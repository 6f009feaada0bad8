#include "sim/commissioning/wiring.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "tests/cli/command_line.h"
#include "tests/files/scale_text.h"

using namespace cornerbench;
using commissioning::Wiring;

namespace {

files::ScaleFile shipped(const std::string& name) {
    const auto loaded = files::load_scale(cli::config("scales/" + name + ".toml"));
    REQUIRE(loaded);
    return *loaded.value;
}

}  // namespace

TEST_CASE("the dead-load signal follows from the deck's weight", "[commissioning][trade]") {
    // Common practice, no source: a bare steel deck of 40 ft weighs about 6 000 lb. On four cells of 20 t and
    // 2 mV/V at 10 V: 680.4 kg each and 0.6804 mV, at standard gravity.
    files::ScaleFile scale = shipped("quarry-8");
    scale::Description& d = scale.description;
    d.gravity = 9.80665;
    d.deck.sections = 2;
    d.deck.section_x_m = {0.0, 40.0 * 0.3048};
    d.deck.overhang_m = 0.0;
    d.deck.mass_kg = 6000.0 * 0.45359237;
    for (scale::Cell& cell : d.cells) cell.capacity_kg = 20000.0;
    const Wiring wiring = commissioning::plan_wiring(scale);
    REQUIRE(wiring.cells.size() == 4);
    for (const auto& cell : wiring.cells) {
        CHECK(cell.dead_load_kg == Approx(680.39).epsilon(1e-4));
        CHECK(1000.0 * cell.signal_V.value == Approx(0.68039).epsilon(1e-3));
        CHECK(cell.signal_V.low < cell.signal_V.value);
        CHECK(cell.signal_V.high > cell.signal_V.value);
    }
    d.deck.mass_kg *= 2.0;
    CHECK(1000.0 * commissioning::plan_wiring(scale).cells[0].signal_V.value ==
          Approx(1.36078).epsilon(1e-3));
}

TEST_CASE("expected ohms are those of a bridge with its compensation and its cable", "[commissioning]") {
    // Four arms of 350 ohm, (390 - 350)/2 in each supply lead, two conductors of 14 m of AWG 22 (52.962
    // ohm/km).
    files::ScaleFile scale = shipped("quarry-8");
    scale.description.deck.mass_kg = 0.0;
    for (scale::Cell& cell : scale.description.cells) cell.insulation_ohm = 1.0e12;
    const Wiring wiring = commissioning::plan_wiring(scale);
    const double lead = 14.0 * 0.052962;
    const auto& pairs = wiring.cells[2].pairs;
    CHECK(pairs[0].ohm.value == Approx(390.0 + 2.0 * lead).epsilon(1e-4));
    CHECK(pairs[1].ohm.value == Approx(350.0 + 2.0 * lead).epsilon(1e-4));
    // One arm beside the three others, and half of the compensation.
    for (int p = 2; p < 6; ++p)
        CHECK(pairs[static_cast<unsigned>(p)].ohm.value ==
              Approx(350.0 * 1050.0 / 1400.0 + 20.0 + 2.0 * lead).epsilon(1e-4));
    CHECK(wiring.bus_ohm == Approx((390.0 + 2.0 * lead + 3.2 + 0.04) / 8.0).epsilon(1e-4));
}

TEST_CASE("a metre cut off a cable costs what its copper took", "[commissioning]") {
    // s = rated (1 + 2 r / R_in) is fixed as delivered, so a metre less leaves 2 r / R_in of the signal more:
    // 2 * 0.052962 / 390 = 0.0272 %, and as much again through the bus; the trim changes that a little.
    files::ScaleFile scale = shipped("quarry-8");
    const Wiring wiring = commissioning::plan_wiring(scale);
    // Parallel bridges share the bus by their output resistances, so the shorter signal leads count as well.
    const double lead = 2.0 * 0.052962;
    const double wanted = lead / 390.0 + 7.0 / 8.0 * lead / (350.0 + 14.0 * lead);
    CHECK(wiring.cable.error_kg_per_m / wiring.cable.test_kg == Approx(wanted).epsilon(0.05));
    CHECK(wiring.cable.unequal.empty());
    // Every cable that departs, with its sign: a short one leaves more of the signal, a long one less.
    scale.description.cells[4].cable_m = 10.0;
    scale.description.cells[6].cable_m = 20.0;
    const Wiring unequal = commissioning::plan_wiring(scale);
    CHECK(unequal.cable.usual_m == Approx(14.0));
    REQUIRE(unequal.cable.unequal.size() == 2);
    const double metres_less[] = {4.0, -6.0};
    for (unsigned i = 0; i < 2; ++i) {
        const commissioning::UnequalCable& cable = unequal.cable.unequal[i];
        CHECK(cable.cell == (i == 0 ? 4 : 6));
        CHECK(cable.length_m == Approx(14.0 - metres_less[i]));
        CHECK(cable.changed_error_kg == Approx(metres_less[i] * wiring.cable.error_kg_per_m).epsilon(0.05));
        // Copper's resistance grows by 0.393 % a kelvin (IEC 60028, from memory), so 10 K are as 3.9 % more
        // of it.
        CHECK(cable.warm_error_kg == Approx(0.0393 * cable.changed_error_kg).epsilon(0.15));
    }
}

TEST_CASE("wire tells every unequal cable with its sign", "[cli][commissioning]") {
    namespace fs = std::filesystem;
    const fs::path path = fs::temp_directory_path() / "cornerbench-unequal-cables.toml";
    std::ifstream in(cli::config("scales/quarry-8.toml"));
    std::stringstream text;
    text << in.rdbuf() << "\n[[cells]]\nnumber = 3\ncable_length_m = 9\n"
         << "\n[[cells]]\nnumber = 6\ncable_length_m = 20\n";
    std::ofstream(path) << text.str();
    const auto cables = cli::ask({"wire", path.string(), "--json"}).json()["cables"];
    REQUIRE(cables["unequal"].size() == 2);
    CHECK(cables["unequal"][0]["cell"] == 3);
    CHECK(cables["unequal"][1]["cell"] == 6);
    // Five metres cut off are five times one metre cut off, six put in as much the other way.
    const double by_metre = cables["error_per_metre_cut"].get<double>();
    CHECK(by_metre > 0.0);
    CHECK(cables["unequal"][0]["error_if_changed"].get<double>() == Approx(5.0 * by_metre).epsilon(0.05));
    CHECK(cables["unequal"][1]["error_if_changed"].get<double>() == Approx(-6.0 * by_metre).epsilon(0.05));
    const cli::Answer answer = cli::ask({"wire", path.string()});
    CHECK(answer.says("Unequal cables"));
    CHECK(answer.says("+22"));
    CHECK(answer.says("-26"));
    std::istringstream lines(answer.out);
    for (std::string each; std::getline(lines, each);) CHECK(each.size() <= 80);
    // NIST Handbook 44, N.1.3.3 (from memory): corners are tested with 12.5 % of Max, which is not this load.
    CHECK_FALSE(cli::ask({"wire", cli::config("scales/scrapyard-6.toml")}).says("corner test"));
    fs::remove(path);
}

TEST_CASE("wire writes a sheet that diagnose takes once it is filled", "[cli][commissioning]") {
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "cornerbench-wire-test";
    fs::remove_all(folder);
    fs::create_directories(folder);
    const std::string sheet = (folder / "wiring.toml").string();
    for (const char* name : {"quarry-8", "sawmill-4", "harbour-8", "depot-6", "elevator-10", "scrapyard-6"}) {
        INFO(name);
        const std::string path = cli::config("scales/" + std::string(name) + ".toml");
        const cli::Answer text =
            cli::ask({"wire", path, "-o", sheet, "--svg", (folder / "w.svg").string(), "--force"});
        CHECK(text.code == 0);
        std::istringstream lines(text.out);
        for (std::string each; std::getline(lines, each);) CHECK(each.size() <= 80);
        // Empty, it says which line is to be filled.
        CHECK(cli::ask({"diagnose", sheet}).code == 3);
        CHECK(cli::ask({"wire", path, "-o", sheet}).code == 4);
        // Filled with what is expected, nothing is wrong and nothing is to be shimmed.
        std::ifstream in(sheet);
        std::string filled;
        for (std::string each; std::getline(in, each);)
            filled += (each.find("# value") == 0 ? each.substr(2) : each) + "\n";
        in.close();
        std::ofstream(sheet) << filled;
        const auto found = cli::ask({"diagnose", sheet, "--json"});
        REQUIRE(found.code == 0);
        CHECK(found.json()["causes"][0]["name"] == "healthy");
        const auto shims = cli::ask({"wire", "--shims", sheet, "--json"});
        CHECK(shims.code == 0);
        CHECK(shims.json()["shims"].empty());
    }
    CHECK(cli::ask({"wire"}).code == 2);
    CHECK(cli::ask({"wire", "--shims", "filled.toml", "--svg", "deck.svg"}).code == 2);
    CHECK(cli::ask({"wire", "--shims", cli::config("sheets/quarry-corners-differ.toml")})
              .complains("no signal of cell"));
    fs::remove_all(folder);
}

TEST_CASE("a wiring sheet filled with what it expects is diagnosed as sound", "[cli][commissioning][long]") {
    namespace fs = std::filesystem;
    const fs::path folder = fs::temp_directory_path() / "cornerbench-wire-filled";
    fs::remove_all(folder);
    fs::create_directories(folder);
    for (const std::string name :
         {"quarry-8", "sawmill-4", "harbour-8", "depot-6", "elevator-10", "scrapyard-6"}) {
        INFO(name);
        const std::string sheet = (folder / (name + ".toml")).string();
        REQUIRE(cli::ask({"wire", cli::config("scales/" + name + ".toml"), "-o", sheet}).code == 0);
        std::ifstream in(sheet);
        std::string text;
        for (std::string line; std::getline(in, line); text += line + '\n')
            if (line.find("# value_") == 0) line = line.substr(2);
        in.close();
        // An insulation tester at the end of its range says "inf", or ">500" with the end that it has.
        for (const std::string at_its_end : {"", "value_Mohm = inf", "at_least_Mohm = 500"}) {
            std::string filled = text;
            for (std::size_t at = 0;
                 !at_its_end.empty() && (at = filled.find("value_Mohm = ", at)) != std::string::npos;)
                filled.replace(at, filled.find(' ', at + 13) - at, at_its_end), at += at_its_end.size();
            std::ofstream(sheet) << filled;
            const cli::Answer answer =
                cli::ask({"diagnose", sheet, "--json", "--priors", cli::config("priors/new-scale.toml")});
            REQUIRE(answer.code == 0);
            const auto document = answer.json();
            INFO(document["disagreeing"].dump() << ", " << at_its_end);
            CHECK(document["disagreeing"].empty());
            REQUIRE(document["causes"][0]["name"] == "healthy");
            CHECK(document["causes"][0]["probability"] > 0.9);
        }
    }
    fs::remove_all(folder);
}

TEST_CASE("an empty wiring sheet is answered with one line", "[cli][commissioning]") {
    namespace fs = std::filesystem;
    const fs::path sheet = fs::temp_directory_path() / "cornerbench-wire-empty.toml";
    REQUIRE(cli::ask({"wire", cli::config("scales/quarry-8.toml"), "-o", sheet.string(), "--force"}).code ==
            0);
    const cli::Answer answer = cli::ask({"diagnose", sheet.string()});
    CHECK(answer.code == 3);
    CHECK(answer.complains("readings has a value yet"));
    CHECK(std::count(answer.err.begin(), answer.err.end(), '\n') == 1);
    fs::remove(sheet);
}
