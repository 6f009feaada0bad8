#include <catch2/catch.hpp>

#include <cmath>
#include <vector>

#include "firmware/scale/copper.h"
#include "tests/world/yard.h"

using namespace cornerbench;
using namespace cornerbench::tests;

TEST_CASE("the day is warmest at its hour, and what follows it lags behind", "[world]") {
    // First-order lag driven by a sine: amplitude falls by 1/sqrt(1 + (w tau)^2), phase by atan(w tau).
    world::Day day;
    day.mean_C = 12.0;
    day.swing_K = 7.0;
    day.start_h = 0.0;
    world::Thermometer thermometer(day, 10.0, 1);
    double warmest = -100.0;
    double warmest_cell = -100.0;
    double at_h = 0.0;
    double cell_at_h = 0.0;
    for (int n = 1; n <= 3 * 8640; ++n) {
        thermometer.step();
        if (n <= 2 * 8640) continue;
        const double hour = n / 360.0 - 48.0;
        if (thermometer.air_C() > warmest) at_h = hour;
        warmest = std::max(warmest, thermometer.air_C());
        if (thermometer.cell_C() > warmest_cell) cell_at_h = hour;
        warmest_cell = std::max(warmest_cell, thermometer.cell_C());
    }
    const double w_tau = 2.0 * numbers::pi / 86400.0 * day.cell_lag_s;
    CHECK(warmest == Approx(19.0).epsilon(1.0e-6));
    CHECK(at_h == Approx(15.0).margin(0.02));
    CHECK(warmest_cell == Approx(12.0 + 7.0 / std::sqrt(1.0 + w_tau * w_tau)).epsilon(1.0e-3));
    CHECK(cell_at_h == Approx(15.0 + std::atan(w_tau) / (2.0 * numbers::pi) * 24.0).margin(0.05));
}

TEST_CASE("clouds have their spread, and forget in their time", "[world]") {
    world::Day day;
    day.cloud_K = 1.5;
    day.cloud_s = 600.0;
    world::Thermometer thermometer(day, 60.0, 8);
    constexpr int count = 40000;
    std::vector<double> off;
    for (int n = 0; n < count; ++n) {
        thermometer.step();
        off.push_back(thermometer.air_C() - 20.0);
    }
    double variance = 0.0;
    double after_one_time = 0.0;
    for (std::size_t n = 0; n < off.size(); ++n) {
        variance += off[n] * off[n] / count;
        if (n >= 10) after_one_time += off[n] * off[n - 10] / count;
    }
    // Independent pieces are about two correlation times long: 2000 of them.
    CHECK(variance == Approx(1.5 * 1.5).epsilon(5.0 * std::sqrt(2.0 / 2000.0)));
    CHECK(after_one_time / variance == Approx(std::exp(-1.0)).margin(0.08));
}

TEST_CASE("the wind's force is the dynamic pressure's, and gusts have the length they are given", "[world]") {
    world::Wind wind;
    wind.speed_m_per_s = 10.0;
    wind.gust_length_m = 50.0;
    world::Gusts gusts(wind, 50.0, 0.1, 4);
    constexpr int count = 400000;
    double force = 0.0;
    double speed = 0.0;
    double variance = 0.0;
    double lagged = 0.0;
    std::vector<double> off;
    for (int n = 0; n < count; ++n) {
        force += gusts.step() / count;
        speed += gusts.speed_m_per_s() / count;
        off.push_back(gusts.speed_m_per_s() - 10.0);
        variance += off.back() * off.back() / count;
        if (n >= 50) lagged += off.back() * off[static_cast<unsigned>(n - 50)] / count;
    }
    CHECK(speed == Approx(10.0).epsilon(0.01));
    CHECK(variance == Approx(4.0).epsilon(0.07));
    CHECK(lagged / variance == Approx(std::exp(-1.0)).margin(0.05));
    // Mean of the square is the square of the mean and the variance: 1/2 rho c A (U^2 + sigma^2).
    CHECK(force == Approx(0.5 * 1.225 * 0.1 * 50.0 * (100.0 + 4.0)).epsilon(0.02));
}

TEST_CASE("wind presses on the whole deck and on nothing else", "[world]") {
    const scale::Description d = oracle::plain_scale(8);
    world::Surroundings s = still(d);
    s.wind.speed_m_per_s = 12.0;
    s.wind.turbulence = 0.0;
    world::World yard(d, scale::sound_condition(d), 1, s);
    const world::Supports before = yard.truth().support_N;
    pass(yard, 1.0);
    const world::Truth truth = yard.truth();
    CHECK(truth.wind_N == Approx(0.5 * 1.225 * 0.1 * 144.0 * 2.6 * 18.8));
    CHECK(truth.mass_on_deck_kg == 0.0);
    double sum = 0.0;
    for (unsigned i = 0; i < 8; ++i) sum += truth.support_N[i] - before[i];
    CHECK(sum == Approx(truth.wind_N).epsilon(1.0e-9));
    s.wind.speed_m_per_s = 0.0;
    yard.change(s);
    pass(yard, 0.1);
    for (unsigned i = 0; i < 8; ++i) CHECK(yard.truth().support_N[i] == Approx(before[i]).epsilon(1.0e-12));
}

TEST_CASE("warm copper resists by 0.00393 per kelvin", "[world]") {
    // IEC 60028, at 20 C.
    scale::Description d = oracle::plain_scale(8);
    d.cable_temperature_C = 5.0;
    const scale::Condition cold = scale::sound_condition(d);
    const world::Warmth warmth(cold, 1.0e-12);
    scale::Condition warm = cold;
    warmth.apply(20.0, 30.0, warm);
    const double factor = (1.0 + 0.00393 * 10.0) / (1.0 - 0.00393 * 15.0);
    CHECK(warm.cells[3].cable_ohm_per_m == Approx(cold.cells[3].cable_ohm_per_m * factor));
    CHECK(warm.home_run_ohm[0] == Approx(cold.home_run_ohm[0] * factor));
    // A specimen drawn warmer than its description says ends up no warmer.
    scale::Condition drawn = cold;
    for (double& ohm : drawn.home_run_ohm) ohm *= 1.05;
    for (scale::CellCondition& cell : drawn.cells) cell.cable_ohm_per_m *= 1.05;
    world::Warmth(drawn, 1.0e-12).apply(20.0, 30.0, drawn);
    CHECK(drawn.home_run_ohm[0] == Approx(warm.home_run_ohm[0]).epsilon(1.0e-13));
    CHECK(warm.cells[3].delivered_cable_ohm_per_m == cold.cells[3].delivered_cable_ohm_per_m);
    scale::Condition same = cold;
    warmth.apply(20.0, 5.0, same);
    CHECK(same.home_run_ohm[0] == Approx(cold.home_run_ohm[0]).epsilon(1.0e-14));
    CHECK(same.cells[3].cable_ohm_per_m == Approx(cold.cells[3].cable_ohm_per_m).epsilon(1.0e-14));
}

TEST_CASE("a step of temperature reaches zero and span through the cells, slowly", "[world]") {
    scale::Description d = oracle::plain_scale(8);
    for (scale::Cell& cell : d.cells) {
        cell.cable_m = 0.1;
        cell.zero_per_K = 1.0e-4;
        cell.span_per_K = -5.0e-5;
    }
    world::Surroundings s = still(d);
    s.day.mean_C = 20.0;
    s.day.cable_lag_s = 1.0e12;
    world::World yard(d, scale::sound_condition(d), 1, s);
    const auto ratios = [&yard] { return yard.truth().output.ratio; };
    pass(yard, 1.0);
    const double zero = ratios();
    yard.put({30000.0, 9.0, 1.3, 0.0});
    pass(yard, 1.0);
    const double loaded = ratios();
    s.day.mean_C = 30.0;
    yard.change(s);
    pass(yard, 3600.0);
    // One time constant: 1 - 1/e of the step. A full scale bridge's zero moves by rated output times
    // zero_per_K.
    const double warmer = 10.0 * (1.0 - std::exp(-1.0));
    CHECK(yard.truth().cell_C - 20.0 == Approx(warmer).epsilon(1.0e-6));
    const double per_output = (loaded - zero) / 30000.0 * d.cells[0].capacity_kg * 8.0;
    const double dead = per_output * d.deck.mass_kg / d.cells[0].capacity_kg / 8.0;
    const double expected = per_output * 1.0e-4 * warmer + (loaded - zero + dead) * -5.0e-5 * warmer;
    CHECK(ratios() - loaded == Approx(expected).epsilon(1.0e-3));
}

TEST_CASE("held temperatures cost less than a thousandth of a division", "[world]") {
    // A long four-wire home run is what copper's temperature moves most.
    scale::Description d = oracle::shunt_scale(8);
    d.home_run_m = 150.0;
    d.home_run_area_mm2 = 0.5;
    world::Surroundings s = still(d);
    s.day.swing_K = 12.0;
    s.day.start_h = 9.0;
    s.day.cloud_K = 2.0;
    world::World yard(d, scale::sound_condition(d), 1, s);
    yard.put({30000.0, 9.0, 1.3, 0.0});
    pass(yard, 1.0);
    const double first = yard.truth().output.ratio;
    double worst = 0.0;
    double moved = 0.0;
    const double one = ratio_per_division(d);
    for (int n = 0; n < 600; ++n) {
        pass(yard, 6.0);
        scale::Condition now = scale::sound_condition(d);
        const world::Truth truth = yard.truth();
        world::Warmth(now, 1.0).apply(truth.cell_C, truth.cable_C, now);
        world::CellsInTime cells(now, truth.cell_N, 0.01);
        const double exact = circuit::Box(now).output(cells.ratios()).ratio;
        worst = std::max(worst, std::fabs(truth.output.ratio - exact) / one);
        moved = std::max(moved, std::fabs(truth.output.ratio - first) / one);
    }
    CHECK(moved > 0.5);
    CHECK(worst < 1.0e-3);
}
