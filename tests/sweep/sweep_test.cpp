#include "sim/sweep/sweep.h"

#include <catch2/catch.hpp>

#include <cmath>

#include "sim/files/numeric_key.h"
#include "tests/files/scale_text.h"

using namespace cornerbench;
using files::testing::ScaleText;

namespace {

files::Standard a_standard() {
    auto standard = files::find_standard("OIML R 76", "");
    REQUIRE(standard);
    return *standard.value;
}

/// Eight round numbers: nothing but cells, copper and screws.
ScaleText bare() {
    ScaleText text = ScaleText::small();
    text.set("cell", "insulation_Mohm", "1000000").set("indicator", "input_Mohm", "1000000");
    text.set("home_run", "wires", "4").set("box.trim", "kind", "\"none\"");
    text.set("deck", "twist_stiffness_kN_m_per_rad", "0");
    return text;
}

std::vector<std::optional<double>> swept(const ScaleText& text, const char* path,
                                         const std::vector<double>& values, const sweep::Column& column,
                                         const sweep::Setting& setting) {
    const auto key = files::find_numeric_key(path);
    REQUIRE(key);
    std::vector<std::optional<double>> outputs;
    for (const double value : values) {
        const auto scale = files::parse_scale_with(text.text(), "yard.toml", *key, value);
        REQUIRE(scale);
        outputs.push_back(
            sweep::point_at(value, {*scale.value, {}}, a_standard(), {column}, setting).outputs.front());
    }
    return outputs;
}

/// Ohms of a metre of 0.75 mm2, IEC 60028: 0.017241 ohm mm2/m.
constexpr double home_run_ohm_per_m = 0.017241 / 0.75;
/// Four cells of 390 ohm behind 10 m of 0.3255 mm2 and two screws each.
constexpr double box_ohm = (390.0 + 2.0 * (10.0 * 0.017241 / 0.3255 + 0.02)) / 4.0;

}  // namespace

TEST_CASE("four wires lose R over R and both conductors of the run, six lose nothing", "[sweep]") {
    // Voltage divider: reading = R_box / (R_box + 2 r L), by Ohm's law. An indicator on four wires takes its
    // own terminals for the excitation.
    sweep::Setting setting;
    setting.load.count = 1;
    setting.load.standing[0] = {9000.0, 2.0, 1.0};
    const std::vector<double> metres{1.0, 10.0, 100.0, 1000.0};
    const sweep::Column reading{sweep::Quantity::reading, 0};
    const auto share = [](double m) { return box_ohm / (box_ohm + 2.0 * home_run_ohm_per_m * m); };
    ScaleText four = bare();
    const auto low = swept(four, "home_run.length_m", metres, reading, setting);
    const auto held =
        swept(four.set("home_run", "wires", "6"), "home_run.length_m", metres, reading, setting);
    const auto volts = swept(bare(), "home_run.length_m", metres, {sweep::Quantity::excitation, 0}, setting);
    const auto amperes = swept(bare(), "home_run.length_m", metres, {sweep::Quantity::current, 0}, setting);
    for (std::size_t i = 0; i < metres.size(); ++i) {
        CHECK(*low[i] / *low[0] == Approx(share(metres[i]) / share(metres[0])).epsilon(1.0e-6));
        CHECK(*held[i] / *held[0] == Approx(1.0).epsilon(1.0e-3));
        CHECK(*volts[i] == Approx(10.0 * share(metres[i])).epsilon(1.0e-6));
        CHECK(*amperes[i] == Approx(10.0 * share(metres[i]) / box_ohm).epsilon(1.0e-6));
    }
}

TEST_CASE("a trim in the excitation lead takes its share of one cell's corner", "[sweep]") {
    // Kirchhoff and Ohm by hand. A bridge's signal goes with the volts across it. Seen from the joined signal
    // leads, the trimmed cell is E+ behind a, E- behind b, and the other three, half of E behind half of b
    // each; their own signal leads lie between. Arms and leads are taken as alike, which the load changes by
    // 1e-3.
    ScaleText text = bare();
    text.set("home_run", "wires", "6").set("home_run", "length_m", "0.1");
    text.set("box.trim", "kind", "\"excitation-series\"").set("box.trim", "total_ohm", "20");
    text.set("box.trim", "turns", "20").set("box.trim", "at", "0");
    sweep::Setting setting;
    setting.test_kg = 5000.0;
    setting.calibration = weighing::sound_calibration(text.load().value->description);
    const std::vector<double> turns{0.0, 1.0, 5.0, 20.0};
    const auto own = swept(text, "cell.3.trim_at", turns, {sweep::Quantity::corner, 2}, setting);
    const auto other = swept(text, "cell.3.trim_at", turns, {sweep::Quantity::corner, 0}, setting);
    const double lead = 10.0 * 0.017241 / 0.3255 + 0.02;
    const double b = 0.5 * 350.0 + 0.5 * (390.0 - 350.0) + lead;
    const double others = 0.5 * lead + (0.5 * b + 0.5 * lead) / 3.0;
    for (std::size_t i = 0; i < turns.size(); ++i) {
        const double a = b + turns[i];
        const double middle = (1.0 / a + 0.5 / others) / (1.0 / a + 1.0 / b + 1.0 / others);
        const double across = b * ((1.0 - middle) / a + middle / b);
        CHECK(*own[i] == Approx(5000.0 * (across - 1.0)).epsilon(1.0e-3).margin(0.01));
        CHECK(std::fabs(*other[i]) < 0.01);
    }
}

TEST_CASE("what was calibrated once keeps its span when the scale changes", "[sweep]") {
    // The divider again, as an error of span: R_box/(R_box + 2 r L) over the same at the length calibrated.
    const ScaleText text = bare();
    const std::vector<double> metres{10.0, 20.0, 200.0};
    sweep::Setting every;
    const auto none = swept(text, "home_run.length_m", metres, {sweep::Quantity::span, 0}, every);
    sweep::Setting once;
    once.calibration = weighing::sound_calibration(text.load().value->description);
    const auto off = swept(text, "home_run.length_m", metres, {sweep::Quantity::span, 0}, once);
    for (std::size_t i = 0; i < metres.size(); ++i) {
        CHECK(std::fabs(*none[i]) < 1.0e-12);
        const double divider =
            (box_ohm + 2.0 * home_run_ohm_per_m * 10.0) / (box_ohm + 2.0 * home_run_ohm_per_m * metres[i]);
        CHECK(1.0 + *off[i] == Approx(divider).epsilon(1.0e-6));
    }
}

TEST_CASE("values run from one end to the other, in equal steps or ratios", "[sweep]") {
    const auto even = sweep::values_between(-1.0, 3.0, 5, false);
    CHECK(even == std::vector<double>{-1.0, 0.0, 1.0, 2.0, 3.0});
    const auto ratios = sweep::values_between(0.1, 1000.0, 5, true);
    REQUIRE(ratios.size() == 5);
    CHECK(ratios.front() == 0.1);
    CHECK(ratios.back() == 1000.0);
    for (std::size_t i = 1; i < ratios.size(); ++i)
        CHECK(ratios[i] / ratios[i - 1] == Approx(10.0).epsilon(1.0e-12));
}
