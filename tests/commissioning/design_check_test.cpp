#include "sim/commissioning/design_check.h"

#include <array>
#include <catch2/catch.hpp>

#include "firmware/mechanics/deck.h"
#include "tests/cli/command_line.h"
#include "tests/files/scale_text.h"

using namespace cornerbench;
using commissioning::Answer;
using commissioning::CheckLine;
using files::testing::ScaleText;

namespace {

files::ScaleFile quarry() {
    const auto loaded = files::load_scale(cli::config("scales/quarry-8.toml"));
    REQUIRE(loaded);
    return *loaded.value;
}

files::Standard standard_behind(const files::ScaleFile& scale) {
    const auto loaded = files::find_standard(scale.standard, scale.path);
    REQUIRE(loaded);
    return *loaded.value;
}

files::Vehicle vehicle(const std::string& name) {
    const auto loaded = files::load_vehicle(cli::config("vehicles/" + name + ".toml"));
    REQUIRE(loaded);
    return *loaded.value;
}

const CheckLine& line(const std::vector<CheckLine>& lines, const std::string& id) {
    for (const CheckLine& each : lines)
        if (each.id == id) return each;
    FAIL("no check " << id);
    return lines.front();
}

nlohmann::json line(const nlohmann::json& document, const std::string& id) {
    for (const auto& each : document["checks"])
        if (each["check"] == id) return each;
    FAIL("no check " << id);
    return {};
}

}  // namespace

TEST_CASE("no check is left without a word on what it was judged by", "[commissioning]") {
    files::ScaleFile scale = quarry();
    const files::Standard standard = standard_behind(scale);
    for (const bool papers : {true, false}) {
        if (!papers) scale.certificates = {};
        const commissioning::Design design{scale, standard};
        for (const CheckLine& each : commissioning::check_design(design).lines) {
            INFO(each.id);
            CHECK_FALSE(each.how.empty());
        }
    }
}

TEST_CASE("the worked row of module compatibility comes out", "[commissioning]") {
    // OIML R 76-1:2006, annex F (from memory), worked out: Max 60 t, e 20 kg, N 8, Emax 30 t, Y 12 000, 2
    // mV/V, 10 V: n 3 000, v_min 2.5 kg against 7.071 kg, 1.6667 uV per e.
    const files::ScaleFile scale = quarry();
    const files::Standard standard = standard_behind(scale);
    const commissioning::Design design{scale, standard};
    const auto modules = check_modules(design);
    const CheckLine& v_min = line(modules, "v-min");
    CHECK(v_min.value == Approx(30000.0 / 12000.0));
    CHECK(*v_min.limit == Approx(7.0710678).epsilon(1e-7));
    CHECK(v_min.answer == Answer::pass);
    CHECK(*line(modules, "cell-intervals").limit == Approx(3000.0));
    const auto electrics = check_electrics(design);
    CHECK(*line(electrics, "signal").value == Approx(1.6667).epsilon(1e-4));
    // Q = (Max + DL + IZSR + NUD)/Max with 14.2 t, 10 % and 50 % of Max; Emax >= Q Max / N.
    CHECK(*line(modules, "load-factor").limit == Approx((60000.0 + 14200.0 + 6000.0 + 30000.0) / 8.0));
    // Input resistances of 390 ohm with 4 of 25 turns of 20 ohm and cable in front, eight side by side.
    CHECK(*line(electrics, "supply-load").value == Approx((390.0 + 3.2 + 2.0 * 0.74) / 8.0).epsilon(2e-3));
}

TEST_CASE("every check fails just beyond its limit", "[commissioning]") {
    // A property: each number moved across its limit turns the answer, and only then.
    files::ScaleFile scale = quarry();
    const files::Standard standard = standard_behind(scale);
    const auto answer = [&](const std::string& id) {
        const commissioning::Design design{scale, standard, {vehicle("semitrailer-5-axle")}};
        auto lines = check_modules(design);
        for (const auto& more : {check_electrics(design), check_mechanics(design)})
            lines.insert(lines.end(), more.begin(), more.end());
        return line(lines, id).answer;
    };
    scale.certificates.cell_v_min_kg = 7.07;
    CHECK(answer("v-min") == Answer::pass);
    scale.certificates.cell_v_min_kg = 7.08;
    CHECK(answer("v-min") == Answer::fail);
    scale.certificates.cell_v_min_kg = 0.0;
    CHECK(answer("v-min") == Answer::question);
    scale.certificates.cell_intervals = 2999.0;
    CHECK(answer("cell-intervals") == Answer::fail);
    scale.certificates.indicator_least_V = 1.66e-6;
    CHECK(answer("signal") == Answer::pass);
    scale.certificates.indicator_least_V = 1.67e-6;
    CHECK(answer("signal") == Answer::fail);
    scale.certificates.indicator_least_ohm = 50.0;
    CHECK(answer("supply-load") == Answer::fail);
    scale.certificates.cable_m_per_mm2 = 53.0;
    CHECK(answer("home-run") == Answer::fail);
    scale.certificates.cell_least_load_kg = 1400.0;
    CHECK(answer("least-dead-load") == Answer::fail);
    scale.description.noise_V_rms = 1.0e-6;
    CHECK(answer("noise") == Answer::fail);
    scale.description.full_scale_V_per_V = 0.6e-3;
    CHECK(answer("full-scale") == Answer::fail);
    CHECK(answer("worst-cell") == Answer::pass);
    for (scale::Cell& cell : scale.description.cells) cell.capacity_kg = 14000.0;
    CHECK(answer("worst-cell") == Answer::fail);
    for (scale::Cell& cell : scale.description.cells) cell.rated_output_tolerance = 0.05;
    CHECK(answer("trim-range") == Answer::question);
}

TEST_CASE("the worst cell under one axle is the bilinear share at the support", "[commissioning]") {
    // With kt = kb = 0 every force is the bilinear share of the load: an axle on a section line puts half of
    // it on each rail, and its eccentricity over the width more.
    files::ScaleFile scale = quarry();
    scale::Description& d = scale.description;
    d.deck.twist_stiffness_N_m_per_rad = 0.0;
    d.deck.overhang_m = 0.0;
    files::Vehicle axle;
    axle.name = "one axle";
    axle.axles = {{10000.0, 0.0}};
    commissioning::Traffic calm;
    calm.wind_m_per_s = 0.0;
    calm.side_m = 0.26;
    const auto worst = commissioning::drive_over(d, std::array{axle}, calm);
    // Inner sections carry two half modules of the dead load, each rail half of that.
    const double dead_kg = 14200.0 * (6.0 / 18.0) / 2.0;
    const double live_kg = 10000.0 * (0.5 + 0.26 / 2.6);
    CHECK(worst.force_N / d.gravity == Approx(dead_kg + live_kg).epsilon(1e-6));
    CHECK(worst.wind_N == 0.0);
    CHECK(worst.least_N / d.gravity == Approx(14200.0 * (3.0 / 18.0) / 2.0).epsilon(1e-6));
    // A side wind's moment over the width goes into the row away from it.
    calm.wind_m_per_s = 20.0;
    const double pressure = 0.5 * 1.225 * 400.0 * 1.2;
    const auto windy = commissioning::drive_over(d, std::array{axle}, calm);
    CHECK(windy.wind_N == Approx(pressure * 3.5 * 3.0 * 2.0 / 2.6).epsilon(1e-6));
}

TEST_CASE("facts of the trade are asked, not refused", "[commissioning][trade]") {
    // Common practice, no source: a bare steel deck weighs about 150 lb a foot, 6 000 lb a piece of 40 ft; a
    // deck of more than 40 ft comes in more than one piece.
    const double foot = 0.3048;
    files::ScaleFile scale = quarry();
    scale.deck_kind = files::DeckKind::steel;
    const files::Standard standard = standard_behind(scale);
    scale::Deck& deck = scale.description.deck;
    deck.sections = 2;
    deck.overhang_m = 0.0;
    deck.section_x_m[1] = 40.0 * foot;
    deck.mass_kg = 6000.0 * 0.45359237;
    const auto answers = [&](const char* id) {
        const commissioning::Design design{scale, standard};
        return line(check_mechanics(design), id);
    };
    CHECK(*answers("deck-weight").value == Approx(150.0));
    CHECK(answers("deck-weight").answer == Answer::pass);
    CHECK(answers("deck-pieces").answer == Answer::pass);
    deck.mass_kg *= 2.2;
    CHECK(answers("deck-weight").answer == Answer::question);
    // Of concrete it may well be so heavy, and not as light as bare steel.
    scale.deck_kind = files::DeckKind::concrete;
    deck.mass_kg *= 2.0;
    CHECK(answers("deck-weight").answer == Answer::pass);
    deck.mass_kg /= 4.4;
    CHECK(answers("deck-weight").answer == Answer::question);
    scale.deck_kind = files::DeckKind::steel;
    deck.mass_kg *= 2.2;
    deck.mass_kg /= 5.0;
    CHECK(answers("deck-weight").answer == Answer::question);
    deck.section_x_m[1] = 41.0 * foot;
    CHECK(answers("deck-pieces").answer == Answer::question);
}

TEST_CASE("check answers for every shipped scale, in text and in JSON", "[cli][commissioning]") {
    for (const char* name : {"quarry-8", "sawmill-4", "harbour-8", "depot-6", "elevator-10", "scrapyard-6"}) {
        INFO(name);
        const std::string path = cli::config("scales/" + std::string(name) + ".toml");
        CHECK(cli::ask({"check", path, "--cold", "50", "--hot", "10"}).complains("colder than --hot 10"));
        const auto document = cli::ask({"check", path, "--json"}).json();
        CHECK(document["schema"] == 1);
        int fails = 0;
        for (const auto& each : document["checks"]) {
            CHECK_FALSE(each["clause"].get<std::string>().empty());
            if (each["answer"] != "pass") CHECK_FALSE(each["mend"].is_null());
            fails += each["answer"] == "fail" ? 1 : 0;
        }
        CHECK(document["sound"] == (fails == 0));
        CHECK_FALSE(document["sensitivities"].empty());
        const cli::Answer text = cli::ask({"check", path});
        CHECK(text.code == (fails == 0 ? 0 : 1));
        std::istringstream lines(text.out);
        for (std::string each; std::getline(lines, each);) CHECK(each.size() <= 80);
    }
}

TEST_CASE("the decks of the shipped scales are not worth a question", "[cli][commissioning][trade]") {
    for (const char* name : {"quarry-8", "sawmill-4", "harbour-8", "depot-6", "elevator-10", "scrapyard-6"}) {
        INFO(name);
        const auto document =
            cli::ask({"check", cli::config("scales/" + std::string(name) + ".toml"), "--json"}).json();
        CHECK(line(document, "deck-weight")["answer"] == "pass");
    }
}

TEST_CASE("no axle is raised past what axles bear", "[commissioning]") {
    // Common practice, no source: tyres and springs bear up to 20 t on an axle. A lone axle on a scale of 60
    // t stays there.
    const files::ScaleFile scale = quarry();
    files::Vehicle axle;
    axle.name = "one axle";
    axle.axles = {{10000.0, 0.0}};
    files::Vehicle heavy = axle;
    heavy.axles = {{20000.0, 0.0}};
    const commissioning::Traffic traffic;
    const auto raised = commissioning::drive_over_at_max(scale.description, std::array{axle}, traffic);
    const auto at_20_t = commissioning::drive_over(scale.description, std::array{heavy}, traffic);
    CHECK(raised.total_N() == Approx(at_20_t.total_N()));
}

TEST_CASE("a four-wire home run fails where a six-wire one would not", "[cli][commissioning]") {
    const auto depot = cli::ask({"check", cli::config("scales/depot-6.toml"), "--json"}).json();
    CHECK(line(depot, "home-run-warmth")["answer"] == "fail");
    const auto quarry_8 = cli::ask({"check", cli::config("scales/quarry-8.toml"), "--json"}).json();
    CHECK(line(quarry_8, "home-run-warmth")["answer"] == "pass");
}

TEST_CASE("what matters most is a tenth that moves the margin", "[cli][commissioning]") {
    const auto document = cli::ask({"check", cli::config("scales/quarry-8.toml"), "--json"}).json();
    double last = 0.0;
    for (const auto& each : document["sensitivities"]) {
        CHECK(each["margin_then"].get<double>() > each["margin"].get<double>());
        CHECK(each["margin"].get<double>() >= last);
        last = each["margin"].get<double>();
        CHECK(line(document, each["check"])["margin"].get<double>() == Approx(last));
    }
}
