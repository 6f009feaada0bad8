#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <vector>

#include "firmware/weighing/filter.h"
#include "tests/world/yard.h"

using namespace cornerbench;
using namespace cornerbench::tests;

namespace {

double codes_per_V(const scale::Description& d) {
    return std::ldexp(1.0, d.converter_bits - 1) / d.full_scale_V_per_V / d.excitation_V;
}

}  // namespace

TEST_CASE("the converter's noise has its size and no memory", "[world]") {
    scale::Description d = oracle::plain_scale(8);
    d.home_run_m = 0.1;
    world::World yard(d, scale::sound_condition(d), 21, world::calm(d));
    constexpr int count = 20000;
    std::vector<double> code;
    for (int n = 0; n < count; ++n) code.push_back(yard.step().code[0]);
    double mean = 0.0;
    for (const double c : code) mean += c / count;
    double variance = 0.0;
    double neighbours = 0.0;
    for (int n = 0; n < count; ++n) {
        const double off = code[static_cast<unsigned>(n)] - mean;
        variance += off * off / (count - 1);
        if (n > 0) neighbours += off * (code[static_cast<unsigned>(n - 1)] - mean) / count;
    }
    // Chi-square with n - 1 degrees of freedom is normal for large n: variance within 5 sqrt(2/n). Rounding
    // adds 1/12 (Bennett 1948).
    const double reference_V = yard.truth().output.reference_V;
    const double sigma = d.noise_V_rms * codes_per_V(d) * d.excitation_V / reference_V;
    const double expected = sigma * sigma + 1.0 / 12.0;
    CHECK(std::fabs(variance / expected - 1.0) < 5.0 * std::sqrt(2.0 / count));
    CHECK(std::fabs(neighbours / expected) < 5.0 / std::sqrt(count));
    CHECK(std::fabs(mean - yard.truth().output.ratio * codes_per_V(d) * d.excitation_V) <
          5.0 * std::sqrt(expected / count));
}

TEST_CASE("mains pick-up shows in the codes and not behind the filter", "[world]") {
    // Sinc responses vanish at every multiple of the output rate (Hogenauer 1981). 60 Hz at 100 samples a
    // second shows as 40 Hz.
    for (const double mains_Hz : {50.0, 60.0}) {
        scale::Description d = oracle::plain_scale(8);
        d.rate_Hz = mains_Hz == 50.0 ? 400.0 : 100.0;
        world::Surroundings s = still(d);
        s.mains = {mains_Hz, 5.0e-6};
        world::World yard(d, scale::sound_condition(d), 4, s);
        weighing::FilterSettings settings;
        settings.rate_mHz = yard.traits().rate_mHz;
        const weighing::FilterPlan plan = weighing::plan_filter(settings);
        REQUIRE(plan.error == weighing::FilterError::none);
        weighing::Filter filter(plan);
        double low = 1.0e30;
        double high = -1.0e30;
        double filtered_low = 1.0e30;
        double filtered_high = -1.0e30;
        for (int n = 0; n < 4000; ++n) {
            const hal::Frame& frame = yard.step();
            low = std::min(low, static_cast<double>(frame.code[0]));
            high = std::max(high, static_cast<double>(frame.code[0]));
            const auto out = filter.push(frame.code[0], frame.fault[0] == 0);
            if (!out || !out->valid) continue;
            const double mean = static_cast<double>(out->sum) / static_cast<double>(plan.gain());
            filtered_low = std::min(filtered_low, mean);
            filtered_high = std::max(filtered_high, mean);
        }
        const double amplitude = 5.0e-6 * codes_per_V(d) * d.excitation_V / yard.truth().output.reference_V;
        CHECK(high - low > 1.5 * amplitude);
        CHECK(high - low < 2.0 * amplitude + 1.0);
        // What is left is the rounding of single codes.
        CHECK(filtered_high - filtered_low < 1.0);
    }
}

TEST_CASE("a converter rounds, saturates and says so", "[world]") {
    scale::Description d = oracle::plain_scale(4);
    d.converter_bits = 16;
    d.noise_V_rms = 0.0;
    world::ConverterModel converter(d, still(d), 1);
    circuit::BoxOutput input;
    input.reference_V = 10.0;
    const double code = d.full_scale_V_per_V / 32768.0;
    for (const double wanted : {0.0, 0.49, 0.51, 1.0, -0.49, -0.51, 32766.6, -32768.4}) {
        input.ratio = wanted * code;
        const hal::Frame& frame = converter.convert(input);
        CHECK(frame.code[0] == static_cast<int>(std::floor(wanted + 0.5)));
        CHECK(frame.fault[0] == hal::sample_good);
    }
    for (const double wanted : {32767.6, 1.0e5, -32768.6, -1.0e9}) {
        input.ratio = wanted * code;
        const hal::Frame& frame = converter.convert(input);
        CHECK(frame.code[0] == (wanted > 0.0 ? 32767 : -32768));
        CHECK(frame.fault[0] == hal::sample_over_range);
        CHECK(frame.check == hal::check_of(frame, 1));
    }
    input.reference_missing = true;
    const hal::Frame& frame = converter.convert(input);
    CHECK(frame.fault[0] == hal::sample_reference_missing);
    CHECK(frame.check == hal::check_of(frame, 1));
}
