#pragma once

#include <cmath>
#include <complex>
#include <cstddef>
#include <cstdint>
#include <numbers>
#include <vector>

/// What a decimating filter does, read off the filter itself.
namespace cornerbench::tests {

/// Response to one sample, sum 1: a single 1 is pushed at every place between two outputs in turn. `push`
/// gives an optional sum for every `factor`-th sample.
template <class Make, class Push>
std::vector<double> impulse_response(int factor, std::int64_t length, Make&& make, Push&& push) {
    std::vector<double> response(static_cast<std::size_t>(length + factor), 0.0);
    double sum = 0.0;
    for (int phase = 0; phase < factor; ++phase) {
        auto filter = make();
        for (int i = 0; i < phase; ++i) push(filter, 0);
        for (std::int64_t age = 0; age < length + factor; ++age) {
            const auto out = push(filter, age == 0 ? 1 : 0);
            if (!out) continue;
            response[static_cast<std::size_t>(age)] = static_cast<double>(*out);
            sum += response[static_cast<std::size_t>(age)];
        }
    }
    for (double& value : response) value /= sum;
    return response;
}

/// Size of the response at `frequency` over the input's rate.
inline double magnitude(const std::vector<double>& response, double frequency) {
    std::complex<double> sum = 0.0;
    for (std::size_t i = 0; i < response.size(); ++i)
        sum += response[i] * std::polar(1.0, -2.0 * std::numbers::pi * frequency * static_cast<double>(i));
    return std::abs(sum);
}

}  // namespace cornerbench::tests
