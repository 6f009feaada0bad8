#include <catch2/catch.hpp>

#include <cmath>
#include <vector>

#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/ranking.h"
#include "tests/diagnosis/sheets.h"

// A display that stays blank, and a supply that is not there.

using namespace cornerbench;
using diagnosis::ExcitationPlace;
using diagnosis::Shown;
using oracle::fault_at;
using oracle::rank;
using oracle::Ranking;
using scale::Cause;

namespace {

diagnosis::Reading blank_weight(const diagnosis::Load& load = {}) {
    diagnosis::Reading r = oracle::weight_under(load);
    r.shown = Shown::blank;
    return r;
}

diagnosis::Reading excitation(ExcitationPlace place, double volt) {
    diagnosis::Reading r = oracle::excitation_at(place);
    r.value = volt;
    return r;
}

/// Probability of everything that leaves the converter without a reference, or is not on the list.
double no_reference(const Ranking& r) {
    return r.probability(Cause::unlisted) + r.probability(Cause::excitation_low) +
           r.probability(Cause::home_run_loose) + r.probability(Cause::sense_open) +
           r.probability(Cause::shorted_wires) + r.probability(Cause::wet_leak);
}

}  // namespace

TEST_CASE("A blank display speaks against every cause under which a weight is shown") {
    // With a fall-back resistor no broken sense wire blanks it: what remains is the supply, its way to the
    // box, and an indicator that is dead.
    for (const scale::Description& d : {oracle::trimmed_scale(4), oracle::trimmed_scale(8)}) {
        REQUIRE(d.sense_fallback_ohm > 0.0);
        std::vector<diagnosis::Reading> readings{blank_weight()};
        const Ranking once = rank(d, readings);
        for (int support = 0; support < 4; ++support) {
            readings.push_back(
                blank_weight(oracle::load_of({oracle::over_support(d, support, 0.2 * d.max_kg)})));
        }
        const Ranking often = rank(d, readings);
        for (const Ranking& r : {once, often}) {
            CAPTURE(r.leaders());
            CHECK(r.probability(Cause::healthy) < 1.0e-3);
            CHECK(no_reference(r) > 0.99);
            CHECK(r.probability(Cause::sense_open) < 1.0e-3);
            CHECK(r.probability(Cause::unlisted) > 0.1);
        }
        // One dead indicator shows nothing as often as it is looked at: that is one thing, not five.
        CHECK(often.probability(Cause::unlisted) == Approx(once.probability(Cause::unlisted)).epsilon(0.05));
    }
}

TEST_CASE("A blank display with the full excitation in the box is not on the list") {
    const scale::Description d = oracle::trimmed_scale(4);
    const std::vector<diagnosis::Reading> readings{blank_weight(), excitation(ExcitationPlace::box, 9.96)};
    const Ranking r = rank(d, readings);
    CAPTURE(r.leaders());
    CHECK(r.first().fault.cause == Cause::unlisted);
    CHECK(r.probability(Cause::unlisted) > 0.9);
}

TEST_CASE("No excitation in the box is a dead supply or a home run that has come apart") {
    for (const scale::Description& d : {oracle::trimmed_scale(4), oracle::shunt_scale(6)}) {
        const Ranking dead = rank(d, std::vector{excitation(ExcitationPlace::box, 0.0)});
        CAPTURE(dead.leaders());
        CHECK(dead.probability(Cause::excitation_low) + dead.probability(Cause::home_run_loose) > 0.7);
        CHECK(dead.probability(Cause::healthy) < 1.0e-6);

        // Ohm's law: what is there at the indicator and not in the box falls off between them.
        const Ranking apart = rank(d, std::vector{excitation(ExcitationPlace::indicator, 10.0),
                                                  excitation(ExcitationPlace::box, 0.05)});
        CAPTURE(apart.leaders());
        CHECK(apart.first().fault.cause == Cause::home_run_loose);
        CHECK(apart.probability(Cause::home_run_loose) > 0.9);
    }
}

TEST_CASE("A display beyond its range, five times over, still leaves room for the unlisted") {
    // Nothing on the list raises an empty deck beyond Max by weights alone without also doing so elsewhere.
    const scale::Description d = oracle::per_cell_scale(4);
    std::vector<diagnosis::Reading> readings;
    for (int i = 0; i < 3; ++i) {
        readings.push_back(blank_weight());
        readings.back().shown = Shown::over_range;
    }
    const Ranking r = rank(d, readings);
    CAPTURE(r.leaders());
    CHECK(r.probability(Cause::healthy) < 1.0e-3);
    CHECK(r.probability(Cause::unlisted) > 1.0e-3);
}
