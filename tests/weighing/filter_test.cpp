#include "firmware/weighing/filter.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <numbers>
#include <type_traits>
#include <vector>

#include "tests/random_scale.h"
#include "tests/weighing/impulse_response.h"

using namespace cornerbench;
using weighing::Filter;
using weighing::FilterError;
using weighing::FilterPlan;
using weighing::FilterSettings;
using weighing::Mains;
using weighing::plan_filter;

static_assert(std::is_trivially_copyable_v<Filter>);

namespace {

FilterPlan plan_at(std::int64_t rate_mHz, Mains mains = Mains::both) {
    FilterSettings settings;
    settings.rate_mHz = rate_mHz;
    settings.mains = mains;
    return plan_filter(settings);
}

std::vector<double> response_of(const FilterPlan& plan) {
    return tests::impulse_response(
        plan.factor(), plan.length(), [&] { return Filter(plan); },
        [](Filter& filter, int code) -> std::optional<std::int64_t> {
            const auto out = filter.push(code, true);
            if (!out) return std::nullopt;
            return out->sum;
        });
}

/// Largest code that a tone leaves at the output once it has settled.
double left_of_tone(const FilterPlan& plan, double frequency_Hz, double amplitude) {
    Filter filter(plan);
    double most = 0.0;
    const double rate_Hz = static_cast<double>(plan.rate_mHz) / 1000.0;
    for (std::int64_t i = 0; i < 20 * plan.factor() + 2 * plan.length(); ++i) {
        const double phase = 2.0 * std::numbers::pi * frequency_Hz * static_cast<double>(i) / rate_Hz + 0.7;
        const auto out =
            filter.push(static_cast<std::int32_t>(std::lround(amplitude * std::sin(phase))), true);
        if (out && out->valid)
            most =
                std::max(most, std::fabs(static_cast<double>(out->sum) / static_cast<double>(plan.gain())));
    }
    return most;
}

}  // namespace

TEST_CASE("Mains and its multiples are nulled at every usual rate, but for multiples of the rate itself",
          "[weighing]") {
    // A tone of 2^20 codes, rounded to whole codes by the converter: what is left is less than one code. A
    // multiple of the rate samples to a constant (sampling theorem) and passes; it is told, not hidden.
    const double amplitude = 1048576.0;
    for (const std::int64_t rate_Hz : {50, 80, 100, 120, 200, 400, 800, 1000, 2400, 4800}) {
        for (const Mains mains : {Mains::both, Mains::hz_50, Mains::hz_60}) {
            const FilterPlan plan = plan_at(rate_Hz * 1000, mains);
            INFO(rate_Hz << " Hz, mains " << static_cast<int>(mains));
            const bool nulls_50 = mains != Mains::hz_60;
            const bool nulls_60 = mains != Mains::hz_50;
            if ((nulls_50 && 50 % rate_Hz == 0) || (nulls_60 && 60 % rate_Hz == 0)) {
                CHECK(plan.error == FilterError::mains_hidden);
                continue;
            }
            REQUIRE(plan.error == FilterError::none);
            for (const std::int64_t mains_Hz : {50, 60}) {
                if (mains_Hz == 50 ? !nulls_50 : !nulls_60) continue;
                for (std::int64_t multiple = 1; multiple <= 8; ++multiple) {
                    INFO(multiple << " x " << mains_Hz << " Hz");
                    const double left =
                        left_of_tone(plan, static_cast<double>(multiple * mains_Hz), amplitude);
                    const bool hidden = multiple % plan.hidden_multiple(mains_Hz * 1000) == 0;
                    REQUIRE(hidden == (multiple * mains_Hz % rate_Hz == 0));
                    if (hidden) {
                        REQUIRE(left == Approx(amplitude * std::sin(0.7)).margin(1.0));
                    } else {
                        REQUIRE(left < 1.0);
                    }
                }
            }
        }
    }
}

TEST_CASE("Mains that strays by one in a hundred is still a thousandth or less", "[weighing]") {
    // EN 50160: 50 Hz within 1 % for 99.5 % of the year (from memory). Closed form for Sinc^2 at 49.5 Hz, ten
    // samples at 100 Hz: (sin(4.95 pi) / (10 sin(0.495 pi)))^2 = 2.4476e-4, -72.2 dB.
    const double pi = std::acos(-1.0);
    const double closed = std::pow(std::sin(4.95 * pi) / (10.0 * std::sin(0.495 * pi)), 2.0);
    CHECK(tests::magnitude(response_of(plan_at(100'000)), 0.495) == Approx(closed).epsilon(1e-9));
    for (const std::int64_t rate_Hz : {100, 400, 800, 4800}) {
        const auto h = response_of(plan_at(rate_Hz * 1000));
        for (const double f : {49.5, 50.5, 59.4, 60.6})
            CHECK(tests::magnitude(h, f / static_cast<double>(rate_Hz)) < 1e-3);
    }
}

TEST_CASE("The cascade's response is the product of its parts' closed forms", "[weighing]") {
    const double pi = std::acos(-1.0);
    const auto sinc = [pi](double f, int factor, int order) {
        return std::pow(std::fabs(std::sin(pi * f * factor) / (factor * std::sin(pi * f))), order);
    };
    for (const std::int64_t rate_Hz : {400, 800, 4800}) {
        const FilterPlan plan = plan_at(rate_Hz * 1000);
        const auto h = response_of(plan);
        const int slower = plan.first.factor;
        for (double f = 0.00013; f < 0.5; f += 0.0007) {
            const double closed =
                sinc(f, slower, plan.first.order) * sinc(f * slower, plan.second.factor, plan.second.order);
            REQUIRE(tests::magnitude(h, f) == Approx(closed).epsilon(0).margin(1e-11));
        }
    }
}

TEST_CASE("Noise gain and correlation are those of the response read off the filter", "[weighing]") {
    for (const std::int64_t rate_Hz : {100, 400, 800, 4800}) {
        for (int first = 1; first <= 4; ++first) {
            FilterSettings settings;
            settings.rate_mHz = rate_Hz * 1000;
            settings.first_order = first;
            settings.second_order = 1 + (first + 1) % 3;
            settings.converter_bits = 16;
            const FilterPlan plan = plan_filter(settings);
            REQUIRE(plan.error == FilterError::none);
            const auto h = response_of(plan);
            std::vector<double> products;
            for (std::size_t apart = 0; apart < 4; ++apart) {
                const std::size_t lag = apart * static_cast<std::size_t>(plan.factor());
                double sum = 0.0;
                for (std::size_t i = 0; i + lag < h.size(); ++i) sum += h[i] * h[i + lag];
                products.push_back(sum);
            }
            INFO(rate_Hz << " Hz, orders " << first << " and " << settings.second_order);
            CHECK(plan.noise_gain() == Approx(products[0]).epsilon(1e-10));
            for (int apart = 1; apart < 4; ++apart)
                CHECK(plan.output_correlation(apart) ==
                      Approx(products[static_cast<std::size_t>(apart)] / products[0]).margin(1e-10));
        }
    }
}

TEST_CASE("A step is seen in full after the stated number of outputs, wherever it comes", "[weighing]") {
    for (const std::int64_t rate_Hz : {100, 400, 4800}) {
        const FilterPlan plan = plan_at(rate_Hz * 1000);
        int most = 0;
        int least = 1000;
        for (int phase = 0; phase < plan.factor(); ++phase) {
            Filter filter(plan);
            int outputs = 0;
            for (std::int64_t i = -10 * plan.factor(); outputs < 20; ++i) {
                const auto out = filter.push(i >= phase ? 1 : 0, true);
                if (!out || i < phase) continue;
                ++outputs;
                if (out->sum == plan.gain()) break;
            }
            most = std::max(most, outputs);
            least = std::min(least, outputs);
        }
        INFO(rate_Hz << " Hz");
        CHECK(most == plan.settling_outputs());
        CHECK(least == plan.settling_outputs() - 1);
    }
    CHECK(plan_at(100'000).settling_outputs() ==
          3);  // Sinc^2: two output periods, and the wait for the first
}

TEST_CASE("An output is valid only if every sample behind it was, and nothing of a bad one stays",
          "[weighing]") {
    // The model: keep every sample, look back over the response's length.
    tests::Draw draw(43);
    for (int round = 0; round < 40; ++round) {
        const FilterPlan plan = plan_at(draw.one_of({80'000, 100'000, 400'000}));
        Filter filter(plan);
        std::vector<bool> good;
        std::vector<std::int32_t> code;
        for (int i = 0; i < 3000; ++i) {
            good.push_back(!draw.chance(0.004));
            code.push_back(draw.integer(-8388608, 8388607));
            const auto out = filter.push(code.back(), good.back());
            if (!out) continue;
            const auto length = static_cast<std::size_t>(plan.length());
            const bool all_good = good.size() >= length && std::all_of(good.end() - static_cast<long>(length),
                                                                       good.end(), [](bool g) { return g; });
            REQUIRE(out->valid == all_good);
            if (!all_good || !draw.chance(0.1)) continue;
            // A filter that never saw the bad sample agrees to the last bit.
            Filter fresh(plan);
            const std::size_t whole = good.size() / static_cast<std::size_t>(plan.factor());
            const std::size_t needed = (length / static_cast<std::size_t>(plan.factor()) + 1);
            if (whole < needed) continue;
            std::optional<weighing::Filtered> again;
            for (std::size_t k = (whole - needed) * static_cast<std::size_t>(plan.factor()); k < code.size();
                 ++k)
                again = fresh.push(code[k], true);
            REQUIRE(again.has_value());
            REQUIRE(again->sum == out->sum);
        }
    }
}

TEST_CASE("The table of rates beside the filter is what the plans say", "[weighing]") {
    struct Row {
        std::int64_t rate_Hz;
        int first;
        int second;
        std::int64_t length;
        double noise;
    };
    // Counted by hand: 3 (R1 - 1) + R1 2 (10 - 1) + 1 inputs; the noise is measured off the response above.
    for (const Row& row : {Row{100, 1, 10, 19, 0.067}, Row{400, 4, 10, 82, 0.0167},
                           Row{800, 8, 10, 166, 0.0083}, Row{4800, 48, 10, 1006, 0.0014}}) {
        const FilterPlan plan = plan_at(row.rate_Hz * 1000);
        INFO(row.rate_Hz << " Hz: " << plan.noise_gain());
        CHECK(plan.output_mHz == 10'000);
        CHECK(plan.first.factor == row.first);
        CHECK(plan.second.factor == row.second);
        CHECK(plan.length() == row.length);
        CHECK(plan.noise_gain() == Approx(row.noise).epsilon(0.02));
    }
}

TEST_CASE("Rates and orders that no filter can be planned for are named", "[weighing]") {
    CHECK(plan_at(0).error == FilterError::bad_rate);
    CHECK(plan_at(-100'000).error == FilterError::bad_rate);
    CHECK(plan_at(2'000'000'000).error == FilterError::bad_rate);
    CHECK(plan_at(97'656).error == FilterError::too_slow);
    CHECK(plan_at(97'000).error == FilterError::none);  // one output a second
    CHECK(plan_at(97'000).output_mHz == 1'000);
    CHECK(plan_at(25'000).error == FilterError::mains_hidden);
    CHECK(plan_at(20'000).error == FilterError::mains_hidden);
    CHECK(plan_at(20'000, Mains::hz_50).error == FilterError::none);
    FilterSettings settings;
    settings.first_order = 0;
    CHECK(plan_filter(settings).error == FilterError::bad_order);
    settings.first_order = 3;
    settings.second_order = 5;
    CHECK(plan_filter(settings).error == FilterError::bad_order);
    settings.second_order = 2;
    settings.converter_bits = 40;
    CHECK(plan_filter(settings).error == FilterError::bad_bits);
    settings.converter_bits = 32;
    settings.rate_mHz = 4'800'000;
    CHECK(plan_filter(settings).error == FilterError::too_many_bits);
    settings.converter_bits = 24;
    CHECK(plan_filter(settings).error == FilterError::none);
}

TEST_CASE("Full scale of either sign passes without overflow at every plan that is accepted", "[weighing]") {
    tests::Draw draw(44);
    for (int round = 0; round < 200; ++round) {
        FilterSettings settings;
        settings.rate_mHz = draw.one_of({60, 100, 400, 800, 2400, 4800, 9600}) * std::int64_t{1000};
        settings.mains = draw.one_of({Mains::both, Mains::hz_50});
        settings.first_order = draw.integer(1, 4);
        settings.second_order = draw.integer(1, 4);
        settings.converter_bits = draw.integer(16, 32);
        const FilterPlan plan = plan_filter(settings);
        if (plan.error != FilterError::none) continue;
        const std::int64_t code = -(std::int64_t{1} << (settings.converter_bits - 1));
        Filter filter(plan);
        std::int64_t last = 0;
        for (std::int64_t i = 0; i < plan.length() + plan.factor(); ++i)
            if (const auto out = filter.push(static_cast<std::int32_t>(code), true)) last = out->sum;
        REQUIRE(last == code * plan.gain());
        REQUIRE(std::fabs(static_cast<double>(last)) <= 0x1.0p53);
    }
}
