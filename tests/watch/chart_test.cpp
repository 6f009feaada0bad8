#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include "firmware/watch/chart.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using namespace cornerbench::watch;

namespace {

/// Independent normal numbers until the chart raises its alarm.
double run_length(tests::Draw& draw, const ChartSettings& settings) {
    Chart chart;
    for (std::uint32_t n = 1; n < 2'000'000; ++n) {
        chart.take(1000.0 + 3.0 * draw.normal(), n, settings);
        if (chart.alarmed()) return n;
    }
    return 2.0e6;
}

}  // namespace

TEST_CASE("a cumulative sum's threshold gives the run lengths that are published", "[watch]") {
    // Montgomery, Introduction to Statistical Quality Control, table of run lengths of the tabular sum with
    // k = 0.5, two-sided: h = 4 168, h = 5 465 (from memory).
    CHECK(run_length_for(0.5, 4.0) == Approx(168.0).epsilon(0.02));
    CHECK(run_length_for(0.5, 5.0) == Approx(465.0).epsilon(0.02));
    for (const double length : {100.0, 1000.0, 30'000.0, 1.0e6})
        CHECK(run_length_for(0.5, threshold_for(0.5, length)) == Approx(length).epsilon(1.0e-9));
}

TEST_CASE("a self-starting chart raises no more false alarms than it states", "[watch]") {
    tests::Draw draw(1);
    ChartSettings settings;
    settings.threshold = threshold_for(settings.reference, 500.0);
    double sum = 0.0;
    constexpr int runs = 400;
    for (int i = 0; i < runs; ++i) sum += run_length(draw, settings);
    const double mean = sum / runs;
    // A run length is spread like an exponential: its mean is known to one part in the root of the runs.
    const double sigma = 500.0 / std::sqrt(runs);
    INFO("mean run length " << mean);
    CHECK(mean > 500.0 - 4.0 * sigma);
}

TEST_CASE("a chart's past is the mean and standard deviation of what it took", "[watch]") {
    tests::Draw draw(2);
    Chart chart;
    ChartSettings settings;
    settings.threshold = 1.0e6;
    std::vector<double> taken;
    for (std::uint32_t n = 1; n <= 200; ++n) {
        // Even numbers stay within what is learnt from in full.
        taken.push_back(draw.uniform(-1.0, 1.0));
        chart.take(taken.back(), n, settings);
    }
    double mean = 0.0;
    for (const double value : taken) mean += value / 200.0;
    double square = 0.0;
    for (const double value : taken) square += (value - mean) * (value - mean);
    CHECK(chart.count() == 200.0);
    CHECK(chart.mean() == Approx(mean).margin(1.0e-12));
    CHECK(chart.deviation() == Approx(std::sqrt(square / 199.0)).epsilon(1.0e-9));
}

TEST_CASE("a shift is noticed soon, with the truck after which it began", "[watch]") {
    tests::Draw draw(3);
    ChartSettings settings;
    settings.threshold = threshold_for(settings.reference, 50'000.0);
    int near = 0;
    double delay = 0.0;
    constexpr int runs = 300;
    for (int run = 0; run < runs; ++run) {
        const double shift = draw.chance(0.5) ? 2.0 : -2.0;
        Chart chart;
        std::uint32_t n = 0;
        while (n < 100 && !chart.alarmed()) chart.take(draw.normal(), ++n, settings);
        if (chart.alarmed()) continue;
        while (!chart.alarmed() && n < 400) chart.take(shift + draw.normal(), ++n, settings);
        REQUIRE(chart.alarmed());
        CHECK(chart.upwards() == (shift > 0.0));
        delay += chart.alarm_truck() - 100.0;
        if (std::fabs(chart.since_truck() - 100.0) <= 6.0) ++near;
    }
    INFO("delay " << delay / runs << ", near " << near);
    // (h + 1.166) / (shift - k) by the drift of the sum.
    CHECK(delay / runs < 1.5 * (settings.threshold + 1.166) / 1.5);
    // Measured: 263 of 300. Four binomial standard deviations below that.
    CHECK(near >= 263 - 4.0 * std::sqrt(263.0 * (1.0 - 263.0 / runs)));
}

TEST_CASE("one odd truck raises no alarm, and what is no number is left out", "[watch]") {
    tests::Draw draw(4);
    ChartSettings settings;
    settings.threshold = threshold_for(settings.reference, 50'000.0);
    for (int run = 0; run < 200; ++run) {
        Chart chart;
        for (std::uint32_t n = 1; n <= 60; ++n) {
            double value = draw.normal();
            if (n == 30) value = draw.chance(0.5) ? 1.0e9 : -1.0e9;
            if (n == 40)
                value = draw.chance(0.5) ? std::numeric_limits<double>::quiet_NaN()
                                         : std::numeric_limits<double>::infinity();
            chart.take(value, n, settings);
        }
        CHECK(!chart.alarmed());
        CHECK(chart.deviation() < 2.0);
    }
}
