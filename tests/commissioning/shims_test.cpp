#include "sim/commissioning/shims.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <sstream>

#include "firmware/mechanics/deck.h"
#include "sim/report/wiring_report.h"
#include "tests/cli/command_line.h"

using namespace cornerbench;
using commissioning::ShimPlan;

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

ShimPlan plan_of(const files::ScaleFile& scale, const scale::Condition& condition) {
    int missing = 0;
    const auto plan = commissioning::plan_shims(signals(scale, condition), missing);
    REQUIRE(plan);
    return *plan;
}

std::string words_of(const files::ScaleFile& scale, const ShimPlan& plan) {
    std::ostringstream out;
    report::print_shims(out, scale, plan, report::Style{});
    return out.str();
}

/// How far the support may sink before nothing stands on it any more, m.
double contact_m(const files::ScaleFile& scale, unsigned support) {
    double touching = 0.0;
    double open = 0.1;
    while (open - touching > 1.0e-6) {
        const double middle = 0.5 * (touching + open);
        scale::Condition condition = scale::sound_condition(scale.description);
        condition.supports[support].height_m = -middle;
        mechanics::DeckState empty;
        mechanics::DeckModel(condition).slack_when_empty(&empty);
        (empty.support_N[support] > 1.0 ? touching : open) = middle;
    }
    return touching;
}

}  // namespace

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

TEST_CASE("a support that hangs free takes its gap and what it lacks from there", "[commissioning]") {
    // Statics alone: with nothing on the support the forces are those at the moment when it just touches,
    // however far it has sunk. So the shim beyond contact is what brings that moment back to level.
    const struct {
        const char* name;
        unsigned support;
        double sunk_mm[2];
    } cases[] = {
        {"quarry-8", 2, {19.0, 25.0}}, {"quarry-8", 0, {12.0, 20.0}}, {"sawmill-4", 1, {20.0, 28.0}}};
    for (const auto& each : cases) {
        const files::ScaleFile scale = shipped(each.name);
        const double contact_mm = 1000.0 * contact_m(scale, each.support);
        for (const double sunk_mm : each.sunk_mm) {
            INFO(each.name << " support " << each.support + 1 << " by " << sunk_mm << ", contact at "
                           << contact_mm);
            REQUIRE(sunk_mm > contact_mm);
            scale::Condition condition = scale::sound_condition(scale.description);
            condition.supports[each.support].height_m = -1.0e-3 * sunk_mm;
            const ShimPlan plan = plan_of(scale, condition);
            CHECK(std::count(plan.hanging.begin(), plan.hanging.end(), static_cast<int>(each.support)) == 1);
            CHECK(plan.after_kg.empty());
            REQUIRE(plan.shims.size() == 1);
            CHECK(plan.shims[0].at_least());
            CHECK(plan.shims[0].mm == Approx(contact_mm).margin(0.2));
            CHECK(plan.shims[0].mm < sunk_mm);

            const std::string words = words_of(scale, plan);
            CHECK(words.find("at least") != std::string::npos);
            CHECK(words.find("beyond contact") != std::string::npos);
            CHECK(words.find("with shims") == std::string::npos);
            CHECK(words.find("instead of") == std::string::npos);
            std::istringstream lines(words);
            for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
            const report::Json json = report::shims_json(scale, plan);
            CHECK(json["shims"][0]["at_least"] == true);
            CHECK(json["supports"][0]["with_shims"].is_null());
            CHECK(json["misfit_with_shims"].is_null());

            // The gap as it would be measured, and the shim on top of it.
            const double gap_mm = sunk_mm - contact_mm;
            condition.supports[each.support].height_m += 1.0e-3 * (gap_mm + plan.shims[0].mm);
            const ShimPlan again = plan_of(scale, condition);
            CHECK(again.hanging.empty());
            CHECK(again.shims.empty());
        }
    }
}

TEST_CASE("a shim is stated whole while all supports touch", "[commissioning]") {
    const files::ScaleFile scale = shipped("quarry-8");
    scale::Condition condition = scale::sound_condition(scale.description);
    condition.supports[0].height_m = -4.0e-3;
    const ShimPlan plan = plan_of(scale, condition);
    CHECK(plan.hanging.empty());
    REQUIRE(plan.shims.size() == 1);
    CHECK_FALSE(plan.shims[0].at_least());
    CHECK(plan.after_kg.size() == 8);
    CHECK(words_of(scale, plan).find("at least") == std::string::npos);
    const report::Json json = report::shims_json(scale, plan);
    CHECK(json["shims"][0]["at_least"] == false);
    CHECK(json["supports"][0]["with_shims"].is_number());
}

TEST_CASE("a support counts as hanging by what its cell's zero lets be known", "[commissioning]") {
    // An even spread of half-width zero_tolerance times capacity: 1 % of 30 t over the square root of 3 is
    // 173 kg, and up to twice that cannot be told from nothing.
    files::ScaleFile scale = shipped("quarry-8");
    files::SheetFile sheet = signals(scale, scale::sound_condition(scale.description));
    const scale::Cell& rated = scale.description.cells[0];
    const double V_per_kg = rated.rated_output_V_per_V / rated.capacity_kg * scale.description.excitation_V;
    const struct {
        double carried_kg;
        bool hangs;
    } rows[] = {{0.0, true}, {340.0, true}, {353.0, false}};
    for (const auto& row : rows) {
        INFO(row.carried_kg);
        sheet.readings[0].value = row.carried_kg * V_per_kg;
        int missing = 0;
        const auto plan = commissioning::plan_shims(sheet, missing);
        REQUIRE(plan);
        CHECK(plan->hanging.empty() != row.hangs);
    }
}
