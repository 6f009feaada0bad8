#include "sim/field/trim_plan.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

#include "sim/report/trim_json.h"
#include "tests/diagnosis/trim_bench.h"

using namespace cornerbench;
using field::make_trim_plan;
using field::TrimPlan;
using field::TrimPlanOptions;
using tests::HiddenScale;

namespace {

files::ScaleFile truck_scale(scale::MassUnit unit) {
    files::ScaleFile file;
    file.name = "Lower yard";
    scale::Description& d = file.description;
    d.unit = unit;
    d.max_kg = 120000.0 * scale::kilograms_per_pound;
    d.division_kg = 20.0 * scale::kilograms_per_pound;
    d.deck.sections = 3;
    d.deck.section_x_m = {0.0, 7.0, 14.0};
    d.deck.width_m = 3.0;
    d.deck.mass_kg = 12000.0;
    d.deck.twist_stiffness_N_m_per_rad = 8.0e6;
    for (unsigned i = 0; i < 6; ++i) d.cells[i].capacity_kg = 30000.0;
    d.trim.kind = scale::TrimKind::excitation_series;
    d.trim.total_ohm = 20.0;
    d.trim.turns = 0.0;
    return file;
}

constexpr double load_kg = 20000.0 * scale::kilograms_per_pound;

struct Read {
    std::vector<diagnosis::Reading> readings;
    diagnosis::Sheet sheet;
};

/// The plan for programs, as if the diagnosis had found nothing, or two causes that no reading splits.
report::Json json_of(const files::ScaleFile& file, const diagnosis::Sheet& sheet, const TrimPlan& plan,
                     const field::DiagnosedSheet& diagnosed = {}) {
    return report::to_json({file, sheet, diagnosed, plan, "sheet.toml"});
}
report::TrimWords words_of(const files::ScaleFile& file, const diagnosis::Sheet& sheet, const TrimPlan& plan,
                           const field::DiagnosedSheet& diagnosed = {}) {
    return report::trim_words({file, sheet, diagnosed, plan, "sheet.toml"});
}

Read read_corners(const files::ScaleFile& file, const std::vector<double>& gains) {
    scale::Condition truth = scale::sound_condition(file.description);
    for (std::size_t i = 0; i < gains.size(); ++i) truth.cells[i].sensitivity_V_per_V *= gains[i];
    Read read;
    read.readings = HiddenScale(file.description, truth, 1.0).corner_readings(load_kg);
    read.sheet.readings = read.readings;
    return read;
}

const std::vector<double> uneven = {1.003, 1.0, 1.001, 1.004, 0.999, 1.002};

bool says(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("A trim plan speaks the scale's unit", "[trim]") {
    const files::ScaleFile file = truck_scale(scale::MassUnit::pound);
    const Read read = read_corners(file, uneven);
    const TrimPlan plan = make_trim_plan(file, read.sheet);
    REQUIRE(plan.to_do());
    const report::Json json = json_of(file, read.sheet, plan);
    CHECK(json["schema"] == 1);
    CHECK(json["verdict"] == "solved");
    CHECK(json["unit"] == "lb");
    CHECK(json["setting_unit"] == "ohm");
    CHECK(json["load"].get<double>() == Approx(20000.0));
    REQUIRE(json["corners"].size() == 6);
    REQUIRE(json["steps"].size() == 6);
    for (const auto& step : json["steps"]) {
        const double rounded = step["target"]["rounded"].get<double>();
        CHECK(std::fabs(rounded - 20.0 * std::round(rounded / 20.0)) < 1.0e-6);
        CHECK(std::fabs(step["target"]["exact"].get<double>() - rounded) <= 10.0 + 1.0e-6);
    }
    // A fixed resistor: the exact value beside the one that is sold.
    const auto& corner = json["corners"][0];
    CHECK(corner["to_ohm"].get<double>() == Approx(corner["exact_ohm"].get<double>()).epsilon(0.0146));
    CHECK(json["span_factor"].get<double>() ==
          Approx(20000.0 / json["all_corners_show"].get<double>()).epsilon(1.0e-9));
    CHECK(says(words_of(file, read.sheet, plan).advice.back(), "span"));
}

TEST_CASE("A fault is named with its probability instead of being trimmed over", "[trim]") {
    const files::ScaleFile file = truck_scale(scale::MassUnit::kilogram);
    const Read read = read_corners(file, uneven);
    field::DiagnosedSheet diagnosed;
    diagnosis::Candidate loose;
    loose.fault.cause = scale::Cause::loose_terminal;
    loose.fault.site = {scale::SiteKind::cell, 4};
    loose.fault.variant.a = scale::Wire::signal_plus;
    loose.probability = 0.83;
    diagnosed.candidates = {loose};
    TrimPlanOptions options;
    options.suspicion = {field::TrimOrFault::fault, 0.83, {0}, 0.83, -1};
    const TrimPlan refused = make_trim_plan(file, read.sheet, options);
    CHECK(refused.refused_as_fault);
    CHECK_FALSE(refused.to_do());
    const report::TrimWords words = words_of(file, read.sheet, refused, diagnosed);
    CHECK(says(words.outcome, "loose-terminal, cell 5, wire S+ (83 %)"));
    CHECK(says(words.advice.front(), "`cornerbench diagnose sheet.toml`"));
    const report::Json json = json_of(file, read.sheet, refused, diagnosed);
    CHECK(json["verdict"] == "fault");
    CHECK(json["fault_probability"] == 0.83);
    CHECK(json["diagnosis"]["suspects"][0]["where"]["cell"] == 5);
    CHECK_FALSE(json.contains("steps"));
    CHECK_FALSE(json["corners"][0].contains("to"));

    options.in_spite_of_fault = true;
    const TrimPlan forced = make_trim_plan(file, read.sheet, options);
    CHECK(forced.to_do());
    CHECK(forced.uncertainty_factor == 1.0);
    const report::Json forced_json = json_of(file, read.sheet, forced, diagnosed);
    CHECK(forced_json["fault_probability"] == 0.83);
    CHECK(forced_json["in_spite_of_fault"] == true);
    CHECK(says(words_of(file, read.sheet, forced, diagnosed).before.front(), "loose-terminal, cell 5"));

    options.in_spite_of_fault = false;
    options.suspicion.verdict = field::TrimOrFault::undecided;
    const TrimPlan warned = make_trim_plan(file, read.sheet, options);
    CHECK(warned.to_do());
    CHECK(says(words_of(file, read.sheet, warned, diagnosed).before.front(), "loose-terminal, cell 5"));
}

TEST_CASE("Readings that contradict each other give settings only in spite of that", "[trim]") {
    // Birge's ratio: contradicting values are averaged with uncertainties enlarged until they agree; the
    // corners then lie as far apart as the contradiction.
    files::ScaleFile file = truck_scale(scale::MassUnit::kilogram);
    file.description.deck.twist_stiffness_N_m_per_rad = 0.0;
    Read read = read_corners(file, uneven);
    const HiddenScale sound(file.description, scale::sound_condition(file.description), 1.0);
    diagnosis::Reading wrong = sound.reading(sound.over(2, load_kg));
    wrong.value += 60.0 * file.description.division_kg;
    read.readings.push_back(wrong);
    read.sheet.readings = read.readings;
    const TrimPlan refused = make_trim_plan(file, read.sheet);
    CHECK(refused.solution.verdict == diagnosis::TrimVerdict::readings_disagree);
    const std::string named = words_of(file, read.sheet, refused).outcome;
    CHECK(says(named, "over 3)"));
    CHECK(says(named, "standard uncertainties"));

    TrimPlanOptions options;
    options.in_spite_of_fault = true;
    const TrimPlan forced = make_trim_plan(file, read.sheet, options);
    CHECK(json_of(file, read.sheet, forced)["corners"][2].contains("to"));
    CHECK(forced.uncertainty_factor > 3.0);
    // Limp deck, two readings of corner 3 that differ by 60 d: the mean of both is 30 d above the other's.
    const double half = 30.0 * file.description.division_kg;
    CHECK(forced.solution.corners[2].before_kg ==
          Approx(read.readings[2].value + half).margin(6.0 * file.description.division_kg));

    // Set aside, the reading does no harm, and what is left keeps its number.
    TrimPlanOptions without;
    without.set_aside = {6};
    const TrimPlan clean = make_trim_plan(file, read.sheet, without);
    CHECK(clean.to_do());
    CHECK(says(words_of(file, read.sheet, clean).before.front(), "reading 7 ("));
}

TEST_CASE("A cell far from its share is trimmed only where asked, one that counts backwards never",
          "[trim]") {
    files::ScaleFile file = truck_scale(scale::MassUnit::kilogram);
    file.description.converter = scale::Converter::per_cell;
    file.description.trim = {};
    file.description.deck.twist_stiffness_N_m_per_rad = 0.0;
    TrimPlanOptions options;
    const Read weak = read_corners(file, {1.0, 1.0, 0.4, 1.0, 1.0, 1.0});
    CHECK(make_trim_plan(file, weak.sheet).solution.verdict == diagnosis::TrimVerdict::implausible_gain);
    options.in_spite_of_fault = true;
    const TrimPlan forced = make_trim_plan(file, weak.sheet, options);
    REQUIRE(forced.to_do());
    // Corners weigh alike when gain times output is the same everywhere: 1 / 0.4.
    const auto& corners = forced.solution.corners;
    CHECK(corners[2].at / corners[0].at == Approx(2.5).epsilon(2.0e-3));
    CHECK(corners[2].relative_gain / corners[0].relative_gain == Approx(0.4).epsilon(2.0e-3));

    const Read reversed = read_corners(file, {1.0, 1.0, -1.0, 1.0, 1.0, 1.0});
    const TrimPlan none = make_trim_plan(file, reversed.sheet, options);
    CHECK(none.solution.verdict == diagnosis::TrimVerdict::implausible_gain);
    CHECK(says(words_of(file, reversed.sheet, none).outcome, "corner 3 gives next to nothing or counts"));
}

TEST_CASE("Which way raises the weight is what the circuit does", "[trim]") {
    files::ScaleFile file = truck_scale(scale::MassUnit::kilogram);
    const auto rises_with_more = [&] {
        HiddenScale scale(file.description, scale::sound_condition(file.description), 1.0);
        const double before = scale.shows(scale.over(1, load_kg)) - scale.shows_empty();
        const double here = scale.trim(1);
        scale.set_trim(1, here + 0.05 * (here > 0.0 ? here : 10.0));
        return scale.shows(scale.over(1, load_kg)) - scale.shows_empty() > before;
    };
    const auto said = [&] {
        const Read read = read_corners(file, uneven);
        const TrimPlan plan = make_trim_plan(file, read.sheet);
        return std::string(json_of(file, read.sheet, plan)["weight_rises_with"]);
    };
    for (const double turns : {0.0, 25.0}) {
        file.description.trim.turns = turns;
        for (auto& cell : file.description.cells) cell.trim_at = 5.0;
        CHECK_FALSE(rises_with_more());
        CHECK(said() == "lower settings");
    }
    file.description.trim = {.kind = scale::TrimKind::signal_shunt,
                             .total_ohm = 1.0e5,
                             .turns = 25.0,
                             .fixed_ohm = 2.0e4,
                             .mixing_ohm = 1000.0};
    CHECK(rises_with_more());
    CHECK(said() == "higher settings");
    file.description.converter = scale::Converter::per_cell;
    CHECK(rises_with_more());
    CHECK(said() == "higher settings");
}

TEST_CASE("A refused trim plan says where and what next", "[trim]") {
    files::ScaleFile file = truck_scale(scale::MassUnit::kilogram);
    const Read strong = read_corners(file, {1.0, 1.0, 1.0, 1.08, 1.0, 1.0});
    const TrimPlan beyond = make_trim_plan(file, strong.sheet);
    CHECK(says(words_of(file, strong.sheet, beyond).outcome, "corner 4 by"));
    CHECK(says(words_of(file, strong.sheet, beyond).outcome, "ohm"));
    CHECK(json_of(file, strong.sheet, beyond)["corners"][3]["beyond_ohm"].get<double>() > 5.0);
    CHECK_FALSE(json_of(file, strong.sheet, beyond).contains("steps"));

    Read lacking = read_corners(file, uneven);
    lacking.readings.erase(lacking.readings.begin() + 4);
    lacking.sheet.readings = lacking.readings;
    const TrimPlan missing = make_trim_plan(file, lacking.sheet);
    CHECK(says(words_of(file, lacking.sheet, missing).outcome, "corner 5 weighs"));
    CHECK(json_of(file, lacking.sheet, missing)["missing"] == report::Json::array({5}));
    CHECK_FALSE(words_of(file, lacking.sheet, missing).advice.empty());
    lacking.readings.erase(lacking.readings.begin() + 1);
    lacking.sheet.readings = lacking.readings;
    const TrimPlan two = make_trim_plan(file, lacking.sheet);
    CHECK(says(words_of(file, lacking.sheet, two).outcome, "corners 2, 5 weigh"));

    const Read equal = read_corners(file, {1.0, 1.0, 1.0, 1.0, 1.0, 1.0});
    const TrimPlan nothing = make_trim_plan(file, equal.sheet);
    CHECK(json_of(file, equal.sheet, nothing)["verdict"] == "leave-it");
    CHECK(says(words_of(file, equal.sheet, nothing).outcome, "leave it"));

    file.description.trim = {.kind = scale::TrimKind::signal_shunt, .total_ohm = 1.0e5, .fixed_ohm = 1.0e4};
    const TrimPlan unmixed = make_trim_plan(file, equal.sheet);
    CHECK(says(words_of(file, equal.sheet, unmixed).outcome, "mixing resistors"));
    CHECK(json_of(file, equal.sheet, unmixed)["verdict"] == "shunt-without-mixing");
}
