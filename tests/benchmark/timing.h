#pragma once

#include <algorithm>
#include <chrono>
#include <vector>

/// Repeated timing of small pieces of work.
namespace cornerbench::benchmark {

/// Keeps the compiler from leaving work out whose result nobody reads.
template <typename T>
void keep(const T& value) {
    asm volatile("" : : "g"(&value) : "memory");
}

/// Seconds per call of each of `works`, `rounds` of them in ascending order. The works take turns, so that a
/// slow spell of the machine falls on all of them.
template <typename... Works>
std::vector<std::vector<double>> timed(int rounds, double seconds_each, Works&&... works) {
    using Clock = std::chrono::steady_clock;
    const auto seconds = [](auto& work, long calls) {
        const auto start = Clock::now();
        for (long i = 0; i < calls; ++i) work();
        return std::chrono::duration<double>(Clock::now() - start).count();
    };
    std::vector<std::vector<double>> taken(sizeof...(works));
    std::vector<long> calls;
    const auto calibrate = [&](auto& work) {
        long n = 1;
        while (seconds(work, n) < 0.2 * seconds_each) n *= 2;
        calls.push_back(
            std::max(1L, static_cast<long>(static_cast<double>(n) * seconds_each / seconds(work, n))));
    };
    (calibrate(works), ...);
    for (int round = 0; round < rounds; ++round) {
        std::size_t w = 0;
        const auto once = [&](auto& work) {
            taken[w].push_back(seconds(work, calls[w]) / static_cast<double>(calls[w]));
            ++w;
        };
        (once(works), ...);
    }
    for (auto& t : taken) std::sort(t.begin(), t.end());
    return taken;
}

/// The middle one of each.
template <typename... Works>
std::vector<double> medians(int rounds, double seconds_each, Works&&... works) {
    std::vector<double> middle;
    for (const auto& t : timed(rounds, seconds_each, works...))
        middle.push_back(t[static_cast<std::size_t>(rounds / 2)]);
    return middle;
}

}  // namespace cornerbench::benchmark
