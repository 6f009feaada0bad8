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
    const nlohmann::ordered_json json = report::to_json(plan);
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
    CHECK(says(plan.advice.back(), "span"));
}

TEST_CASE("A pattern that is probably a fault is not trimmed", "[trim]") {
    const files::ScaleFile file = truck_scale(scale::MassUnit::kilogram);
    const Read read = read_corners(file, uneven);
    TrimPlanOptions options;
    options.fault_probability = 0.83;
    options.likeliest_fault = "loose terminal, S+ of cell 5";
    const TrimPlan refused = make_trim_plan(file, read.sheet, options);
    CHECK(refused.refused_as_fault);
    CHECK_FALSE(refused.to_do());
    CHECK(says(refused.outcome, "83 %"));
    CHECK(says(refused.outcome, "loose terminal, S+ of cell 5"));
    const nlohmann::ordered_json json = report::to_json(refused);
    CHECK(json["verdict"] == "fault");
    CHECK_FALSE(json.contains("steps"));
    CHECK_FALSE(json["corners"][0].contains("to"));

    options.fault_probability = 0.4;
    CHECK(make_trim_plan(file, read.sheet, options).to_do());
    options.most_fault_probability = 0.3;
    CHECK_FALSE(make_trim_plan(file, read.sheet, options).to_do());
}

TEST_CASE("A refused trim plan says where and what next", "[trim]") {
    files::ScaleFile file = truck_scale(scale::MassUnit::kilogram);
    const Read strong = read_corners(file, {1.0, 1.0, 1.0, 1.08, 1.0, 1.0});
    const TrimPlan beyond = make_trim_plan(file, strong.sheet);
    CHECK(says(beyond.outcome, "corner 4 by"));
    CHECK(says(beyond.outcome, "ohm"));
    CHECK(report::to_json(beyond)["corners"][3]["beyond_ohm"].get<double>() > 5.0);
    CHECK_FALSE(report::to_json(beyond).contains("steps"));

    Read lacking = read_corners(file, uneven);
    lacking.readings.erase(lacking.readings.begin() + 4);
    lacking.sheet.readings = lacking.readings;
    const TrimPlan missing = make_trim_plan(file, lacking.sheet);
    CHECK(says(missing.outcome, "corner 5"));
    CHECK(report::to_json(missing)["missing"] == nlohmann::ordered_json::array({5}));
    CHECK_FALSE(missing.advice.empty());

    const Read equal = read_corners(file, {1.0, 1.0, 1.0, 1.0, 1.0, 1.0});
    const TrimPlan nothing = make_trim_plan(file, equal.sheet);
    CHECK(report::to_json(nothing)["verdict"] == "leave-it");
    CHECK(says(nothing.outcome, "leave it"));

    file.description.trim = {.kind = scale::TrimKind::signal_shunt, .total_ohm = 1.0e5, .fixed_ohm = 1.0e4};
    const TrimPlan unmixed = make_trim_plan(file, equal.sheet);
    CHECK(says(unmixed.outcome, "mixing resistors"));
    CHECK(report::to_json(unmixed)["verdict"] == "shunt-without-mixing");
}
