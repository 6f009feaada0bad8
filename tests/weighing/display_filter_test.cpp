#include "firmware/weighing/display_filter.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <numeric>
#include <type_traits>
#include <vector>

#include "firmware/weighing/filter.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using weighing::DisplayFilter;
using weighing::DisplayFilterSettings;

static_assert(std::is_trivially_copyable_v<DisplayFilter>);

namespace {

double mean_of(const std::vector<std::int64_t>& values, std::size_t from, std::size_t to) {
    double sum = 0.0;
    for (std::size_t i = from; i < to; ++i) sum += static_cast<double>(values[i]);
    return sum / static_cast<double>(to - from);
}

/// The rule in its own words: all values kept, means of their real numbers.
struct KeepsEverything {
    DisplayFilterSettings settings;
    std::vector<std::int64_t> values;

    void push(std::int64_t value) {
        values.push_back(value);
        if (values.size() > static_cast<std::size_t>(settings.longest)) values.erase(values.begin());
        const std::size_t n = values.size();
        for (std::size_t m = 1; m <= 16 && m < n; m *= 2) {
            const double apart = mean_of(values, n - m, n) - mean_of(values, 0, n - m);
            const double sd =
                settings.noise * std::sqrt(1.0 / static_cast<double>(m) + 1.0 / static_cast<double>(n - m));
            if (std::fabs(apart) <= settings.bound * sd) continue;
            values.erase(values.begin(), values.end() - static_cast<long>(m));
            break;
        }
    }
};

}  // namespace

TEST_CASE("The shown average is that of a model that keeps every value", "[weighing]") {
    tests::Draw draw(51);
    for (int round = 0; round < 200; ++round) {
        DisplayFilterSettings settings;
        settings.noise = draw.uniform(50.0, 500.0);
        settings.bound = draw.uniform(2.0, 7.0);
        settings.longest = draw.integer(1, weighing::max_display_values);
        DisplayFilter filter(settings);
        KeepsEverything model{settings, {}};
        std::int64_t load = 0;
        for (int i = 0; i < 500; ++i) {
            if (draw.chance(0.02)) load = draw.integer(-1'000'000, 1'000'000);
            if (draw.chance(0.1)) load += draw.integer(-1000, 1000);
            const std::int64_t value = load + std::lround(settings.noise * draw.normal());
            filter.push(value);
            model.push(value);
            REQUIRE(filter.count() == static_cast<int>(model.values.size()));
            REQUIRE(filter.mean() == Approx(mean_of(model.values, 0, model.values.size())).margin(1e-6));
            if (draw.chance(0.005)) {
                filter.interrupt();
                model.values.clear();
                REQUIRE(filter.count() == 0);
                REQUIRE(filter.mean() == 0.0);
            }
        }
    }
}

TEST_CASE("A large step is shown with the very value that brings it", "[weighing]") {
    DisplayFilterSettings settings;
    settings.noise = 100.0;
    DisplayFilter filter(settings);
    for (int i = 0; i < 40; ++i) filter.push(i % 2 == 0 ? 50 : -50);
    CHECK(filter.count() == 16);
    filter.push(1'000'000);
    CHECK(filter.count() == 1);
    CHECK(filter.mean() == 1'000'000.0);
}

TEST_CASE("A step of half the bound is shown within four values", "[weighing]") {
    // Without noise the means of m new and 12 old values (16 in all) differ by the whole step s: it passes 6
    // noise sqrt(1/m + 1/12) first at m = 4 for s between 3.46 and 4.5 noise (arithmetic).
    DisplayFilterSettings settings;
    settings.noise = 100.0;
    DisplayFilter filter(settings);
    for (int i = 0; i < 40; ++i) filter.push(0);
    int values = 0;
    while (filter.mean() != 360.0 && values < 40) {
        filter.push(360);
        ++values;
    }
    CHECK(values == 4);
}

TEST_CASE("At rest the noise falls to what an average of correlated values leaves", "[weighing]") {
    // White noise through the converter's filter: neighbouring outputs correlate by rho, and the variance of
    // a mean of n is v / n (1 + 2 rho (n - 1) / n) (any textbook of time series, for a reach of one).
    weighing::FilterSettings rates;
    const auto plan = weighing::plan_filter(rates);
    const double rho = plan.output_correlation(1);
    REQUIRE(std::fabs(plan.output_correlation(2)) < 1e-12);
    const double sample_sd = 400.0;
    const double sum_sd = sample_sd * std::sqrt(plan.noise_gain()) * static_cast<double>(plan.gain());
    DisplayFilterSettings settings;
    settings.noise = sum_sd;
    DisplayFilter display(settings);
    weighing::Filter filter(plan);
    tests::Draw draw(52);
    double square = 0.0;
    int counted = 0;
    int restarts = 0;
    for (int i = 0; i < 2'000'000; ++i) {
        const auto out = filter.push(static_cast<std::int32_t>(std::lround(sample_sd * draw.normal())), true);
        if (!out || !out->valid) continue;
        const int before = display.count();
        display.push(out->sum);
        if (before == settings.longest && display.count() < before) ++restarts;
        if (display.count() < settings.longest) continue;
        square += display.mean() * display.mean();
        ++counted;
    }
    const double n = settings.longest;
    const double expected = sum_sd * sum_sd / n * (1.0 + 2.0 * rho * (n - 1.0) / n);
    // Some 12 000 independent means: their variance scatters by 1.3 %.
    CHECK(square / counted == Approx(expected).epsilon(0.05));
    CHECK(restarts <= 5);
    CHECK(counted > 190'000);
}

TEST_CASE("Equal states are equal bit by bit", "[weighing]") {
    DisplayFilterSettings settings;
    settings.noise = 1.0;
    DisplayFilter used(settings);
    DisplayFilter fresh(settings);
    for (int i = 0; i < 100; ++i) used.push(i * 7);
    used.interrupt();
    for (int i = 0; i < 20; ++i) {
        used.push(i % 3);
        fresh.push(i % 3);
    }
    CHECK(std::memcmp(&used, &fresh, sizeof used) == 0);
}

TEST_CASE("Settings that make no sense become the nearest that do", "[weighing]") {
    DisplayFilterSettings settings;
    settings.longest = 1000;
    settings.noise = std::nan("");
    settings.bound = -1.0;
    DisplayFilter filter(settings);
    for (int i = 0; i < 100; ++i) filter.push(5);
    CHECK(filter.count() == weighing::max_display_values);
    filter.push(6);
    CHECK(filter.count() == 1);
}
