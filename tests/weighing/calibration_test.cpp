#include "firmware/weighing/calibration.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <limits>
#include <set>
#include <type_traits>
#include <vector>

#include "tests/random_scale.h"

using namespace cornerbench;
using weighing::Calibration;
using weighing::CalibrationError;
using weighing::CalibrationPoint;
using weighing::CalibrationSettings;
using weighing::fit_calibration;

static_assert(std::is_trivially_copyable_v<Calibration>);

namespace {

constexpr double nan_value = std::numeric_limits<double>::quiet_NaN();

/// A 60 t scale by 20 kg.
CalibrationSettings weighbridge() {
    CalibrationSettings settings;
    settings.max_kg = 60000.0;
    settings.division_kg = 20.0;
    return settings;
}

/// Zero at 0.1 mV/V, 0.5 mV/V at Max.
constexpr double zero_ratio = 1.0e-4;
constexpr double kg_per_ratio = 60000.0 / 5.0e-4;

CalibrationPoint on_line(double load_kg, double weight = 1.0) {
    return {load_kg, zero_ratio + load_kg / kg_per_ratio, weight};
}

CalibrationError error_of(std::vector<CalibrationPoint> points, const CalibrationSettings& settings) {
    return fit_calibration(points, settings).error;
}

}  // namespace

TEST_CASE("Zero and span make the straight line through both", "[weighing]") {
    const CalibrationPoint points[] = {on_line(0.0), on_line(20000.0)};
    const auto fit = fit_calibration(points, weighbridge());
    REQUIRE(fit.error == CalibrationError::none);
    CHECK(fit.calibration.zero_ratio == Approx(zero_ratio).epsilon(1e-13));
    CHECK(fit.calibration.kg_per_ratio == Approx(kg_per_ratio).epsilon(1e-13));
    CHECK(fit.calibration.kg_per_ratio2 == 0.0);
    CHECK(fit.calibration.weight_kg(6.0e-4) == Approx(60000.0).epsilon(1e-13));
    CHECK(fit.degrees_of_freedom == 0);
}

TEST_CASE("Points in any order, without the empty scale among them, find its zero", "[weighing]") {
    const CalibrationPoint points[] = {on_line(30000.0), on_line(5000.0), on_line(15000.0)};
    const auto fit = fit_calibration(points, weighbridge());
    REQUIRE(fit.error == CalibrationError::none);
    CHECK(fit.calibration.zero_ratio == Approx(zero_ratio).epsilon(1e-12));
    CHECK(fit.calibration.weight_kg(zero_ratio) == Approx(0.0).margin(1e-7));
}

TEST_CASE("The weighted line is the one the textbook's formulas give", "[weighing]") {
    // Straight line by weighted means: slope = sum w (x - xm)(y - ym) / sum w (x - xm)^2 (any textbook of
    // regression), worked in long double.
    tests::Draw draw(31);
    for (int round = 0; round < 2000; ++round) {
        std::vector<CalibrationPoint> points;
        const int n = draw.integer(3, weighing::max_calibration_points);
        for (int i = 0; i < n; ++i) {
            CalibrationPoint point = on_line(60000.0 * i / (n - 1), draw.log_uniform(0.1, 10.0));
            point.ratio += draw.uniform(-10.0, 10.0) / kg_per_ratio;
            points.push_back(point);
        }
        const auto wide = [](double value) { return static_cast<long double>(value); };
        long double w = 0, x = 0, y = 0, xx = 0, xy = 0;
        for (const auto& p : points) {
            w += wide(p.weight);
            x += wide(p.weight) * wide(p.ratio);
            y += wide(p.weight) * wide(p.load_kg);
        }
        x /= w;
        y /= w;
        for (const auto& p : points) {
            const long double from_mean = wide(p.ratio) - x;
            xx += wide(p.weight) * from_mean * from_mean;
            xy += wide(p.weight) * from_mean * (wide(p.load_kg) - y);
        }
        const auto slope = static_cast<double>(xy / xx);
        const auto zero = static_cast<double>(x - y * xx / xy);
        const auto fit = fit_calibration(points, weighbridge());
        REQUIRE(fit.error == CalibrationError::none);
        REQUIRE(fit.calibration.kg_per_ratio == Approx(slope).epsilon(1e-12));
        REQUIRE(fit.calibration.zero_ratio == Approx(zero).epsilon(1e-12));
        double balance = 0.0;
        for (int i = 0; i < n; ++i)
            balance +=
                points[static_cast<std::size_t>(i)].weight * fit.residual_kg[static_cast<std::size_t>(i)];
        REQUIRE(std::fabs(balance) <= 1e-6);  // a line with a free zero leaves nothing over on the whole
    }
}

TEST_CASE("A quadratic term straightens a bent scale", "[weighing]") {
    // Load = 1.2e8 s - 2e9 s^2 of the signal s past zero: 0.8 % of bend at Max.
    const auto bent = [](double signal) { return (1.2e8 - 2.0e9 * signal) * signal; };
    std::vector<CalibrationPoint> points;
    for (const double signal : {0.0, 1.2e-4, 2.6e-4, 3.9e-4, 5.0e-4})
        points.push_back({bent(signal), zero_ratio + signal});
    CalibrationSettings settings = weighbridge();
    settings.largest_residual_divisions = 100.0;
    const auto line = fit_calibration(points, settings);
    settings.curved = true;
    const auto curve = fit_calibration(points, settings);
    REQUIRE(line.error == CalibrationError::none);
    REQUIRE(curve.error == CalibrationError::none);
    CHECK(line.residual_sd_kg > 20.0);
    CHECK(curve.residual_sd_kg < 1e-6);
    CHECK(curve.calibration.zero_ratio == Approx(zero_ratio).epsilon(1e-9));
    CHECK(curve.calibration.kg_per_ratio == Approx(1.2e8).epsilon(1e-9));
    CHECK(curve.calibration.kg_per_ratio2 == Approx(-2.0e9).epsilon(1e-7));
    for (double signal = -1.0e-4; signal < 6.0e-4; signal += 1.0e-5)
        REQUIRE(std::fabs(curve.calibration.weight_kg(zero_ratio + signal) - bent(signal)) < 1e-4);
}

TEST_CASE("A bent scale's zero is found from loads alone, and a bend beyond belief is refused",
          "[weighing]") {
    // The same parabola without its empty point, a heavy load first; then bends of 1.9 % and 2.1 % at Max,
    // about the 2 % that is let through: load = k s + b s^2 with b Max / k^2 = 0.019 and 0.021.
    CalibrationSettings settings = weighbridge();
    settings.curved = true;
    const auto fit_bent = [&settings](double bend) {
        const double square = bend * 1.2e8 * 1.2e8 / 60000.0;
        std::vector<CalibrationPoint> points;
        for (const double signal : {4.0e-4, 1.0e-4, 2.5e-4})
            points.push_back({(1.2e8 + square * signal) * signal, zero_ratio + signal});
        return fit_calibration(points, settings);
    };
    for (const double bend : {0.019, -0.019, 0.008}) {
        const auto fit = fit_bent(bend);
        INFO(bend);
        REQUIRE(fit.error == CalibrationError::none);
        CHECK(fit.calibration.zero_ratio == Approx(zero_ratio).epsilon(1e-9));
        CHECK(fit.calibration.kg_per_ratio == Approx(1.2e8).epsilon(1e-8));
    }
    CHECK(fit_bent(0.021).error == CalibrationError::too_curved);
    CHECK(fit_bent(-0.021).error == CalibrationError::too_curved);
}

TEST_CASE("A span corrected for gravity keeps the zero", "[weighing]") {
    const Calibration calibration{zero_ratio, kg_per_ratio, 1.0e9};
    const Calibration moved = calibration.scaled(1.002);
    CHECK(moved.weight_kg(zero_ratio) == 0.0);
    for (const double ratio : {2.0e-4, 6.0e-4})
        CHECK(moved.weight_kg(ratio) == Approx(1.002 * calibration.weight_kg(ratio)).epsilon(1e-14));
}

TEST_CASE("Every impossible calibration is named", "[weighing]") {
    const CalibrationSettings s = weighbridge();
    CalibrationSettings curved = s;
    curved.curved = true;
    const CalibrationPoint a = on_line(0.0);
    const CalibrationPoint b = on_line(20000.0);
    const CalibrationPoint c = on_line(40000.0);

    CHECK(error_of({}, s) == CalibrationError::too_few_points);
    CHECK(error_of({a}, s) == CalibrationError::too_few_points);
    CHECK(error_of({a, b}, curved) == CalibrationError::too_few_points);
    CHECK(error_of({a, b, c, a, b, c}, s) == CalibrationError::too_many_points);
    CHECK(error_of({a, {nan_value, 3e-4}}, s) == CalibrationError::not_finite);
    CHECK(error_of({a, {20000.0, std::numeric_limits<double>::infinity()}}, s) ==
          CalibrationError::not_finite);
    CHECK(error_of({a, on_line(20000.0, 0.0)}, s) == CalibrationError::bad_weight);
    CHECK(error_of({a, on_line(20000.0, -1.0)}, s) == CalibrationError::bad_weight);
    CHECK(error_of({a, on_line(-20000.0)}, s) == CalibrationError::negative_load);
    CHECK(error_of({a, {20000.0, 4.0e-3}}, s) == CalibrationError::signal_over_range);
    CHECK(error_of({b, b}, s) == CalibrationError::equal_loads);
    CHECK(error_of({a, b, b}, curved) == CalibrationError::equal_loads);
    CHECK(error_of({a, on_line(2999.0)}, s) == CalibrationError::loads_too_close);
    CHECK(error_of({a, on_line(3000.0)}, s) == CalibrationError::none);
    CHECK(error_of({a, {20000.0, zero_ratio - 1e-4}}, s) == CalibrationError::negative_slope);
    CHECK(error_of({a, {20000.0, zero_ratio}}, s) == CalibrationError::signal_too_small);
    CHECK(error_of({a, {20000.0, zero_ratio - 0.99e-5}}, s) == CalibrationError::signal_too_small);
    CHECK(error_of({a, {20000.0, zero_ratio - 1.01e-5}}, s) == CalibrationError::negative_slope);
    // 1000 divisions at 1e-8 V/V each are the least: 1e-5.
    CHECK(error_of({a, {20000.0, zero_ratio + 0.99e-5}}, s) == CalibrationError::signal_too_small);
    CHECK(error_of({a, {20000.0, zero_ratio + 1.01e-5}}, s) == CalibrationError::none);
    CHECK(error_of({a, {20000.0, a.ratio + 1e-4}, {40000.0, a.ratio + 4e-4}}, curved) ==
          CalibrationError::too_curved);
    CHECK(error_of({a, {20000.0, a.ratio}, {40000.0, c.ratio}}, curved) == CalibrationError::too_curved);
    CHECK(error_of({a, {20000.0, b.ratio + 1e-5}, c}, s) == CalibrationError::points_disagree);
    CHECK(error_of({a, b}, {}) == CalibrationError::bad_settings);

    std::set<std::string_view> sentences;
    for (int i = 0; i <= static_cast<int>(CalibrationError::bad_gravity); ++i)
        sentences.insert(weighing::words(static_cast<CalibrationError>(i)));
    CHECK(sentences.size() == static_cast<std::size_t>(CalibrationError::bad_gravity) + 1);
    CHECK(sentences.count("") == 0);
}

TEST_CASE("Whatever is put in, a refused calibration leaves the stored one as it was", "[weighing]") {
    tests::Draw draw(32);
    int refused = 0;
    for (int round = 0; round < 20000; ++round) {
        std::vector<CalibrationPoint> points;
        const int n = draw.integer(0, 6);
        for (int i = 0; i < n; ++i) {
            CalibrationPoint point{
                draw.one_of({0.0, 10000.0, 30000.0, draw.uniform(-1.0, 6e4), 1e300, nan_value}),
                draw.uniform(-1e-4, 6e-4), 1.0};
            if (draw.chance(0.7)) point = on_line(draw.one_of({0.0, 20000.0, 60000.0}));
            if (draw.chance(0.1)) point.weight = draw.one_of({0.0, -1.0, 1e-300, 1e300, nan_value});
            if (draw.chance(0.1)) point.ratio = draw.one_of({1e300, -1e-4, nan_value, 1e-320});
            points.push_back(point);
        }
        CalibrationSettings settings = weighbridge();
        settings.curved = draw.chance(0.5);
        Calibration stored{3.0e-4, 7.0e7, 0.0};
        const Calibration before = stored;
        const auto fit = fit_calibration(points, settings);
        if (weighing::adopt(fit, stored)) {
            // What is taken is a scale: growing signal, growing weight, from below zero to above Max.
            double weight = -1.0e9;
            for (double load = -6000.0; load <= 66000.0; load += 1000.0) {
                const double ratio = stored.zero_ratio + load / stored.kg_per_ratio;
                REQUIRE(stored.weight_kg(ratio) > weight);
                weight = stored.weight_kg(ratio);
            }
        } else {
            ++refused;
            REQUIRE(fit.error != CalibrationError::none);
            REQUIRE(std::memcmp(&stored, &before, sizeof stored) == 0);
        }
    }
    CHECK(refused > 5000);
    CHECK(refused < 19000);
}

TEST_CASE("The plates of the cells give the signal that the trade works out by hand", "[weighing]") {
    // Worked row of R 76-1:2006, Annex F, as the trade does it: Max 60 t, e 20 kg, eight cells of 30 t and 2
    // mV/V at 10 V make 1.6667 uV per e: 2 mV/V * 10 V * 20 kg / (8 * 30 t). At standard gravity the cells
    // are at their rating.
    const std::vector<weighing::RatedCell> cells(8, {30000.0, 2.0e-3});
    const auto fit =
        weighing::rated_calibration(cells, scale::Converter::summed, 9.80665, zero_ratio, weighbridge());
    REQUIRE(fit.error == CalibrationError::none);
    CHECK(10.0 * 20.0 / fit.calibration.kg_per_ratio == Approx(1.6667e-6).epsilon(1e-4));
    CHECK(fit.calibration.zero_ratio == zero_ratio);

    // A converter per cell adds what a bus averages.
    CalibrationSettings added = weighbridge();
    added.full_scale_ratio *= 8.0;
    const auto per_cell = weighing::rated_calibration(cells, scale::Converter::per_cell, 9.80665, 0.0, added);
    REQUIRE(per_cell.error == CalibrationError::none);
    CHECK(8.0 * per_cell.calibration.kg_per_ratio == Approx(fit.calibration.kg_per_ratio).epsilon(1e-14));

    // Less gravity, less signal for the same mass, more kg per signal.
    const auto equator =
        weighing::rated_calibration(cells, scale::Converter::summed, 9.780326772, zero_ratio, weighbridge());
    CHECK(equator.calibration.kg_per_ratio / fit.calibration.kg_per_ratio ==
          Approx(9.80665 / 9.780326772).epsilon(1e-14));
}

TEST_CASE("Plates that cannot be right are named", "[weighing]") {
    const auto problem = [](std::vector<weighing::RatedCell> cells, double gravity = 9.81,
                            double zero = 0.0) {
        return weighing::rated_calibration(cells, scale::Converter::summed, gravity, zero, weighbridge())
            .error;
    };
    const weighing::RatedCell good{30000.0, 2.0e-3};
    CHECK(problem({good, good, good, good}) == CalibrationError::none);
    CHECK(problem({}) == CalibrationError::no_cells);
    CHECK(problem(std::vector<weighing::RatedCell>(17, good)) == CalibrationError::no_cells);
    CHECK(problem({good, {0.0, 2.0e-3}}) == CalibrationError::bad_cell);
    CHECK(problem({good, {30000.0, -2.0e-3}}) == CalibrationError::bad_cell);
    CHECK(problem({good, {30000.0, nan_value}}) == CalibrationError::bad_cell);
    CHECK(problem({good, good}, 98.1) == CalibrationError::bad_gravity);
    CHECK(problem({good, good}, 9.81, nan_value) == CalibrationError::not_finite);
    CHECK(problem({good}) == CalibrationError::signal_over_range);  // 60 t on a 30 t cell: 4 mV/V of 3.9
    CHECK(problem(std::vector<weighing::RatedCell>(16, {3.0e6, 2.0e-3})) ==
          CalibrationError::signal_too_small);
}
