#include "sim/commissioning/wiring.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "firmware/mechanics/deck.h"
#include "sim/commissioning/shims.h"
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

/// A sheet with the exact lifted signals of `condition`, deck empty.
files::SheetFile signals(const files::ScaleFile& scale, const scale::Condition& condition) {
    files::SheetFile sheet;
    sheet.scale = scale;
    mechanics::DeckState empty;
    mechanics::DeckModel(condition).slack_when_empty(&empty);
    for (int i = 0; i < scale.description.cell_count(); ++i) {
        const auto at = static_cast<unsigned>(i);
        const scale::Cell& rated = scale.description.cells[at];
        diagnosis::Reading r;
        r.quantity = diagnosis::Quantity::signal;
        r.cell = i;
        // R 60: rated output at capacity in kgf, at the box end of its cable.
        r.value = rated.rated_output_V_per_V * empty.support_N[at] / 9.80665 / rated.capacity_kg *
                  scale.description.excitation_V;
        sheet.readings.push_back(r);
    }
    return sheet;
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
    scale.description.cells[4].cable_m = 10.0;
    const Wiring unequal = commissioning::plan_wiring(scale);
    REQUIRE(unequal.cable.unequal == std::vector<int>{4});
    CHECK(unequal.cable.usual_m == Approx(14.0));
    CHECK(std::fabs(unequal.cable.unequal_error_kg) ==
          Approx(4.0 * wiring.cable.error_kg_per_m).epsilon(0.05));
    CHECK(unequal.cable.warm_error_kg != 0.0);
}

TEST_CASE("shims bring a settled corner back by as much as it sank", "[commissioning]") {
    // Four supports of stiffness k and a deck of twist stiffness kt' = kt/W^2: one settled by h shifts
    // h / (1/kt' + 4/k) from its diagonal to the other.
    files::ScaleFile scale = shipped("sawmill-4");
    const scale::Description& d = scale.description;
    scale::Condition condition = scale::sound_condition(d);
    const double k = d.support_stiffness_N_per_m;
    const double kt = d.deck.twist_stiffness_N_m_per_rad / (d.deck.width_m * d.deck.width_m);
    int missing = 0;
    CHECK(commissioning::plan_shims(signals(scale, condition), missing)->shims.empty());
    const double h = 6.0e-3;
    condition.supports[1].height_m = -h;
    const auto plan = commissioning::plan_shims(signals(scale, condition), missing);
    REQUIRE(plan);
    const double shift_kg = h / (1.0 / kt + 4.0 / k) / 9.80665;
    // Supports 2 and 4 stand on one diagonal, 1 and 3 on the other.
    for (const int support : {1, 3})
        CHECK(plan->loads[static_cast<unsigned>(support)].carried_kg ==
              Approx(plan->loads[static_cast<unsigned>(support)].expected_kg - shift_kg).epsilon(1e-3));
    REQUIRE(plan->shims.size() == 1);
    CHECK((plan->shims[0].support == 1 || plan->shims[0].support == 3));
    CHECK(plan->shims[0].mm == Approx(6.0).margin(0.11));
    CHECK(plan->misfit_after < 0.3);
    for (std::size_t i = 0; i < 4; ++i)
        CHECK(plan->after_kg[i] == Approx(plan->loads[i].expected_kg).epsilon(0.05));
}

TEST_CASE("what shims mend by the plan is mended by the statics", "[commissioning]") {
    files::ScaleFile scale = shipped("quarry-8");
    for (int support = 0; support < 8; ++support) {
        INFO("support " << support + 1);
        scale::Condition condition = scale::sound_condition(scale.description);
        condition.supports[static_cast<unsigned>(support)].height_m = -4.0e-3;
        int missing = 0;
        const auto plan = commissioning::plan_shims(signals(scale, condition), missing);
        REQUIRE(plan);
        REQUIRE(plan->shims.size() >= 1);
        for (const auto& shim : plan->shims)
            condition.supports[static_cast<unsigned>(shim.support)].height_m += 1.0e-3 * shim.mm;
        const auto again = commissioning::plan_shims(signals(scale, condition), missing);
        REQUIRE(again);
        CHECK(again->misfit_before < 0.5 * plan->misfit_before);
        CHECK(again->misfit_before < 1.0);
        CHECK(again->shims.empty());
    }
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
