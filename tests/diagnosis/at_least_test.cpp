#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/diagnosis_bench.h"
#include "tests/diagnosis/ranking.h"
#include "tests/diagnosis/sheets.h"

// A meter that ends at so many ohms says "at least": the evidence is that of everything that it could have
// read from there on.

using namespace cornerbench;
using diagnosis::Reading;
using diagnosis::Shown;
using oracle::DiagnosisBench;
using oracle::rank;
using scale::Cause;
using scale::Wire;

namespace {

constexpr int leaky = 1;

Reading insulation(double ohm, Shown shown = Shown::value) {
    Reading r = oracle::ohms_of(leaky, Wire::signal_plus, Wire::shield);
    r.value = ohm;
    r.shown = shown;
    return r;
}

scale::Fault leak_of(double ohm) {
    scale::Fault fault{Cause::wet_leak, {scale::SiteKind::cell, leaky}, {}, {}};
    fault.variant.a = Wire::signal_plus;
    fault.variant.b = Wire::shield;
    fault.magnitude[0] = ohm;
    return fault;
}

constexpr double sound_ohm = 4.0e9;

struct Odds {
    double healthy;
    double leak;  ///< of that cell, between any two wires, to one of a sound scale
};

Odds odds(const scale::Description& d, const std::vector<Reading>& readings) {
    const oracle::Ranking found = rank(d, readings);
    const double healthy = found.probability(Cause::healthy);
    return {healthy, found.probability(leak_of(1.0)) / healthy};
}

double log_density(const scale::Description& d, const Reading& reading, const scale::Fault& fault) {
    DiagnosisBench bench(d, {reading});
    REQUIRE(bench.prepare());
    return bench.evidence.log_density(fault);
}

/// Probability of a value of `from_ohm` or more by Simpson's rule over the values themselves, each with the
/// likelihood of a plain reading of it. Rows of resistance are in natural logarithms.
double by_values(const scale::Description& d, const scale::Fault& fault, double from_ohm, double to_ohm) {
    constexpr int steps = 24;
    const double low = std::log(from_ohm);
    const double width = (std::log(to_ohm) - low) / steps;
    double sum = 0.0;
    for (int i = 0; i <= steps; ++i) {
        const double weight = i == 0 || i == steps ? 1.0 : i % 2 == 1 ? 4.0 : 2.0;
        sum += weight * width / 3.0 * std::exp(log_density(d, insulation(std::exp(low + i * width)), fault));
    }
    return sum;
}

}  // namespace

TEST_CASE("A bound is the sum of all values from there on", "[diagnosis][long]") {
    // Definition of a censored observation: P(y >= x) is the integral of the density of y from x on. An own
    // uncertainty in ohm would not be the same part of every value: that of the instrument is.
    const scale::Description d = oracle::trimmed_scale(4);
    for (const double leak_ohm : {0.0, 6.0e7}) {
        const scale::Fault fault = leak_ohm > 0.0 ? leak_of(leak_ohm) : scale::Fault{};
        const double centre = leak_ohm > 0.0 ? leak_ohm : sound_ohm;
        for (const double times : {0.8, 1.3}) {
            INFO(leak_ohm << " ohm, " << times);
            const double bound = times * centre;
            const double summed = by_values(d, fault, bound, 12.0 * centre);
            CHECK(summed > 0.01);
            const double censored = std::exp(log_density(d, insulation(bound, Shown::at_least), fault));
            CHECK(censored == Approx(summed).epsilon(2.0e-3));
        }
    }
}

TEST_CASE("A higher bound leaves less to a leak, and none once it lies above all", "[diagnosis]") {
    const scale::Description d = oracle::trimmed_scale(4);
    const Odds unread = odds(d, {});
    double before = unread.leak * 1.001;
    for (const double bound : {1.0e3, 1.0e5, 1.0e7, 1.0e8, 5.0e8, 2.0e9}) {
        const Odds found = odds(d, {insulation(bound, Shown::at_least)});
        INFO(bound << " ohm");
        CHECK(found.leak <= before * 1.001);
        before = found.leak;
    }
    // What stays is leaks between wires that this pair does not see, as with a plain reading of a sound cell.
    CHECK(before < 0.7 * unread.leak);
    CHECK(before == Approx(odds(d, {insulation(sound_ohm)}).leak).epsilon(0.01));
    // A bound that everything keeps tells nothing.
    const Odds nothing = odds(d, {insulation(1.0, Shown::at_least)});
    CHECK(nothing.leak == Approx(unread.leak).epsilon(0.001));
    CHECK(nothing.healthy == Approx(unread.healthy).epsilon(0.001));
}

TEST_CASE("A bound beyond all leaks speaks for a sound scale no less than over range does", "[diagnosis]") {
    // The leaks that are looked for end at 100 Mohm. An insulation tester that says over range ends somewhere
    // in gigohms, which one never knows; one that says where it ends leaves no doubt of that.
    for (const scale::Description& d : {oracle::trimmed_scale(4), oracle::trimmed_scale(8)}) {
        const Odds endless = odds(d, {insulation(0.0, Shown::over_range)});
        for (const double bound : {2.0e8, 5.0e8, 1.0e9, 2.0e9, 5.0e9}) {
            INFO(bound << " ohm");
            const Odds found = odds(d, {insulation(bound, Shown::at_least)});
            CHECK(found.healthy >= endless.healthy);
            CHECK(found.leak <= endless.leak * 1.001);
        }
    }
}

TEST_CASE("A bound far above what a leak leaves is a misreading at most", "[diagnosis]") {
    const scale::Description d = oracle::trimmed_scale(4);
    const double denied = log_density(d, insulation(5.0e8, Shown::at_least), leak_of(1.0e5));
    const double allowed = log_density(d, insulation(5.0e8, Shown::at_least), scale::Fault{});
    CHECK(allowed == Approx(0.0).margin(1.0e-3));
    CHECK(denied < allowed - 10.0);
    CHECK(std::isfinite(denied));
    // The other wires' ohms are as good as they were: a bound says nothing of another pair.
    Reading bridge = oracle::ohms_of(leaky, Wire::signal_plus, Wire::signal_minus);
    bridge.value = 20.0;
    bridge.shown = Shown::at_least;
    CHECK(log_density(d, bridge, scale::Fault{}) == Approx(0.0).margin(1.0e-3));
    // What no meter shows stays a number.
    CHECK(std::isfinite(log_density(d, insulation(std::numeric_limits<double>::infinity(), Shown::at_least),
                                    scale::Fault{})));
}
