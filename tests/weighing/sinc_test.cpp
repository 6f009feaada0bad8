#include "firmware/weighing/sinc.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <cstdint>
#include <type_traits>
#include <vector>

#include "tests/random_scale.h"
#include "tests/weighing/impulse_response.h"

using namespace cornerbench;
using weighing::SincDecimator;
using weighing::SincShape;

static_assert(std::is_trivially_copyable_v<SincDecimator>);

namespace {

std::vector<double> response_of(const SincShape& shape) {
    return tests::impulse_response(
        shape.factor, shape.length(), [&] { return SincDecimator(shape); },
        [](SincDecimator& filter, int code) { return filter.push(code); });
}

}  // namespace

TEST_CASE("A Sinc^N decimator puts out what N moving averages in a row would", "[weighing]") {
    // The ten-line model: N running sums over the last R values, one after the other.
    tests::Draw draw(41);
    for (int round = 0; round < 60; ++round) {
        const SincShape shape{draw.integer(1, 4), draw.integer(1, 12)};
        std::vector<std::int64_t> stream;
        for (int i = 0; i < 200; ++i) stream.push_back(draw.integer(-8388608, 8388607));
        std::vector<std::int64_t> averaged = stream;
        for (int k = 0; k < shape.order; ++k) {
            std::vector<std::int64_t> sums(averaged.size(), 0);
            for (std::size_t i = 0; i < averaged.size(); ++i)
                for (std::size_t j = 0; j < static_cast<std::size_t>(shape.factor) && j <= i; ++j)
                    sums[i] += averaged[i - j];
            averaged = sums;
        }
        SincDecimator filter(shape);
        for (std::size_t i = 0; i < stream.size(); ++i) {
            const auto out = filter.push(stream[i]);
            REQUIRE(out.has_value() == ((i + 1) % static_cast<std::size_t>(shape.factor) == 0));
            if (out) REQUIRE(*out == averaged[i]);
        }
    }
}

TEST_CASE("Its integrators may wrap around for ever", "[weighing]") {
    // A constant at full scale passes 2^63 in the third integrator after some ten thousand samples.
    const SincShape shape{4, 16};
    SincDecimator filter(shape);
    std::int64_t last = 0;
    for (int i = 0; i < 400000; ++i)
        if (const auto out = filter.push(-8388608)) last = *out;
    CHECK(last == -8388608 * shape.gain());
}

TEST_CASE("Half the output rate, and the point of -3 dB, lie where the closed form has them", "[weighing]") {
    // |sin(pi x) / (pi x)|^N with x the frequency over the output rate, the limit of large factors: -3.9224 N
    // dB at x = 1/2; 3 dB (half the power) down at x = 0.44295, 0.26194 and 0.22751 for N = 1, 3, 4.
    struct Row {
        int order;
        double at_half_dB;
        double half_power_at;
    };
    for (const Row& row : {Row{1, -3.9224, 0.44295}, Row{3, -11.7672, 0.26194}, Row{4, -15.6896, 0.22751}}) {
        INFO("order " << row.order);
        const int factor = 480;
        const auto h = response_of({row.order, factor});
        CHECK(20.0 * std::log10(tests::magnitude(h, 0.5 / factor)) ==
              Approx(row.at_half_dB).epsilon(0).margin(1e-4));
        CHECK(tests::magnitude(h, row.half_power_at / factor) ==
              Approx(std::sqrt(0.5)).epsilon(0).margin(1e-5));
    }
}

TEST_CASE("The whole response is the closed form's, with a null at every multiple of the output rate",
          "[weighing]") {
    const double pi = std::acos(-1.0);
    for (int order = 1; order <= 4; ++order) {
        for (const int factor : {2, 5, 8, 10, 48}) {
            INFO("order " << order << ", factor " << factor);
            const auto h = response_of({order, factor});
            for (double f = 0.001; f < 1.0; f += 0.0173) {
                const double closed =
                    std::pow(std::fabs(std::sin(pi * f * factor) / (factor * std::sin(pi * f))), order);
                REQUIRE(tests::magnitude(h, f) == Approx(closed).epsilon(0).margin(1e-12));
            }
            for (int k = 1; k < factor; ++k)
                REQUIRE(tests::magnitude(h, static_cast<double>(k) / factor) < 1e-13);
            REQUIRE(tests::magnitude(h, 0.0) == Approx(1.0).epsilon(1e-14));
        }
    }
}

TEST_CASE("A step behind an output is seen in full N outputs later, and grows as the closed form says",
          "[weighing]") {
    // The first output has R samples of the step in it: C(R + N - 1, N) of R^N (sums of figurate numbers).
    for (int order = 1; order <= 4; ++order) {
        for (const int factor : {5, 10, 48}) {
            INFO("order " << order << ", factor " << factor);
            const SincShape shape{order, factor};
            SincDecimator filter(shape);
            std::vector<std::int64_t> outputs;
            for (int i = 0; i < 8 * factor; ++i)
                if (const auto out = filter.push(i < 2 * factor ? 0 : 1)) outputs.push_back(*out);
            double first = 1.0;
            for (int k = 0; k < order; ++k) first *= static_cast<double>(factor + k) / (k + 1);
            REQUIRE(outputs[1] == 0);
            CHECK(static_cast<double>(outputs[2]) == Approx(first).epsilon(1e-12));
            if (order > 1) CHECK(outputs[static_cast<std::size_t>(order)] < shape.gain());
            for (auto k = static_cast<std::size_t>(order) + 1; k < outputs.size(); ++k)
                CHECK(outputs[k] == shape.gain());
        }
    }
}

TEST_CASE("The noise that stays is the sum of the squared response", "[weighing]") {
    for (int order = 1; order <= 4; ++order) {
        for (const int factor : {1, 2, 5, 10, 48, 480}) {
            INFO("order " << order << ", factor " << factor);
            const SincShape shape{order, factor};
            const auto h = response_of(shape);
            for (int apart = 0; apart <= order; ++apart) {
                const std::int64_t lag = static_cast<std::int64_t>(apart) * factor;
                double sum = 0.0;
                for (std::size_t i = 0; i + static_cast<std::size_t>(lag) < h.size(); ++i)
                    sum += h[i] * h[i + static_cast<std::size_t>(lag)];
                REQUIRE(shape.correlation(lag) == Approx(sum).epsilon(1e-11).margin(1e-18));
                REQUIRE(shape.correlation(-lag) == shape.correlation(lag));
            }
        }
    }
    // For large factors R times the gain of noise is the integral of (sin u / u)^2N over pi: 1, 2/3, 11/20,
    // 151/315 (Gradshteyn and Ryzhik, 3.821; from memory).
    const double limits[] = {1.0, 2.0 / 3.0, 11.0 / 20.0, 151.0 / 315.0};
    for (int order = 1; order <= 4; ++order)
        CHECK(1000.0 * SincShape{order, 1000}.correlation(0) == Approx(limits[order - 1]).epsilon(1e-5));
}
