#include "sim/training/over_time.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "sim/field/test_load.h"
#include "sim/files/standard_file.h"
#include "sim/report/table.h"
#include "sim/training/atlas.h"
#include "tests/cli/command_line.h"

using namespace cornerbench;
using namespace cornerbench::cli;
using training::over_time;
using training::OverTime;

namespace {

scale::Description sawmill() {
    return files::load_scale(config("scales/sawmill-4.toml")).value->description;
}

void give_cells(scale::Description& d, double creep, double zero_per_K) {
    for (scale::Cell& cell : d.cells) {
        cell.creep = creep;
        cell.zero_per_K = zero_per_K;
    }
}

}  // namespace

// OIML R 60-1:2021 speaks of creep as the change of output in 30 minutes under a load that stays (from
// memory).
TEST_CASE("A load left standing moves by the cells' creep, an empty deck does not", "[training]") {
    scale::Description d = sawmill();
    constexpr double creep = 5.0e-4;
    constexpr double mass_kg = 5000.0;
    give_cells(d, creep, 0.0);
    const OverTime time = over_time(d, {}, 0, mass_kg);
    CHECK_FALSE(time.usual_cells);
    CHECK_FALSE(time.comes);
    // The first seconds of it pass before the load stands.
    CHECK(time.loaded.sound.back() > 0.9 * creep * mass_kg);
    CHECK(time.loaded.sound.back() < 1.05 * creep * mass_kg);
    CHECK(std::fabs(time.empty.sound.back()) < 0.05 * creep * mass_kg);
    CHECK(time.loaded.sound[0] == 0.0);
    for (std::size_t i = 1; i < time.loaded.sound.size(); ++i)
        CHECK(time.loaded.sound[i] > time.loaded.sound[i - 1]);
    give_cells(d, -creep, 0.0);
    CHECK(over_time(d, {}, 0, mass_kg).loaded.sound.back() < -0.9 * creep * mass_kg);
}

TEST_CASE("An empty deck moves with the cells' warmth, by as much more as they mind it more", "[training]") {
    scale::Description d = sawmill();
    double moved[3]{};
    for (int i = 0; i < 3; ++i) {
        give_cells(d, 0.0, (i + 1) * 2.0e-5);
        const OverTime time = over_time(d, {}, 0, 5000.0);
        CHECK(time.warmer_K > 0.5);
        moved[i] = time.empty.sound.back();
    }
    CHECK(moved[1] > moved[0]);
    CHECK(moved[2] - moved[1] == Approx(moved[1] - moved[0]).epsilon(0.02));
}

TEST_CASE("A cause that comes on moves the empty deck by what corners finds of it at once",
          "[training][long]") {
    for (const char* name : {"scales/sawmill-4.toml", "scales/quarry-8.toml", "scales/harbour-8.toml"}) {
        const files::ScaleFile scale = *files::load_scale(config(name)).value;
        const scale::Description& d = scale.description;
        const files::Standard standard = *files::find_standard(scale.standard, scale.path).value;
        for (const scale::Cause cause : {scale::Cause::wet_leak, scale::Cause::shifted_zero,
                                         scale::Cause::weak_output, scale::Cause::loose_terminal}) {
            CAPTURE(name, scale::name_of(cause));
            const training::AtlasEntry entry =
                training::atlas_entry(scale, standard, training::example_of(d, cause));
            const OverTime& time = entry.in_time;
            REQUIRE(time.comes);
            const double empty_kg = entry.test.empty.exact_error_kg;
            CHECK(time.empty.coming.back() - time.empty.sound.back() ==
                  Approx(empty_kg).epsilon(0.02).margin(0.2 * d.division_kg));
            // There from the beginning it was zeroed away.
            CHECK(std::fabs(time.empty.with.back() - time.empty.sound.back()) <
                  0.1 * std::fabs(empty_kg) + 0.2 * d.division_kg);
            const double corner_kg =
                entry.test.supports[static_cast<std::size_t>(entry.near_support)].exact_error_kg;
            CHECK(time.loaded.coming.back() - time.loaded.sound.back() ==
                  Approx(empty_kg + corner_kg).epsilon(0.03).margin(0.3 * d.division_kg));
        }
    }
}

TEST_CASE("The atlas tells in words, table, JSON and picture how a cause goes in time", "[training]") {
    const std::string path = config("scales/sawmill-4.toml");
    const std::string words = "wet-leak cell=2 wires=S+,shield ohm=40000";
    const auto text = ask({"atlas", path, words}).out;
    CHECK(text.find("Left alone for 30 minutes") != std::string::npos);
    CHECK(text.find("Where it comes on over these minutes") != std::string::npos);
    CHECK(text.find("moved after, min") != std::string::npos);
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = text.find('\n', at);
        CHECK(end - at <= report::page_width);
        at = end == std::string::npos ? text.size() : end + 1;
    }
    const auto json = ask({"atlas", path, words, "--json"}).json()["causes"][0]["in_time"];
    CHECK(json["minutes"].size() == training::over_time_minutes.size());
    for (const char* deck : {"empty", "load"})
        for (const char* line : {"sound", "with", "coming"})
            CHECK(json[deck][line].size() == training::over_time_minutes.size());
    const auto plain = ask({"atlas", path, "upside-down cell=2", "--json"}).json()["causes"][0]["in_time"];
    CHECK(plain["load"]["coming"].is_null());
    CHECK(plain["load"]["with"].back().get<double>() < plain["load"]["sound"].back().get<double>());
}
