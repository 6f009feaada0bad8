#include <catch2/catch.hpp>

#include <cmath>

#include "firmware/diagnosis/unexplained.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/simulated_sheet.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/ranking.h"

// An explanation that leaves more than chance lets expect is not the whole truth, however far the next one
// on the list is behind.

using namespace cornerbench;
using oracle::fault_at;
using scale::Cause;
using scale::Fault;

namespace {

double given_to_unlisted(const scale::Description& d, const std::vector<Fault>& faults, std::uint64_t seed) {
    const field::SimulatedSheet sheet = field::simulate_sheet(d, faults, seed);
    const field::DiagnosedSheet found = field::rank_causes(d, sheet.sheet(), diagnosis::default_priors(d));
    double sum = 0.0;
    double unlisted = 0.0;
    for (const diagnosis::Candidate& c : found.candidates) {
        CHECK(c.probability >= 0.0);
        sum += c.probability;
        if (c.fault.cause == Cause::unlisted) unlisted = c.probability;
    }
    CHECK(sum == Approx(1.0).epsilon(1.0e-9));
    return unlisted;
}

}  // namespace

TEST_CASE("the odds that more is there than chance grow with the misfit and never without it",
          "[diagnosis]") {
    for (const int rows : {3, 10, 55, 200}) {
        const double spread = std::sqrt(2.0 * rows);
        CAPTURE(rows);
        CHECK(diagnosis::log_odds_of_more(0.0, rows) < 0.0);
        CHECK(diagnosis::log_odds_of_more(rows, rows) < 0.0);
        double before = -1.0e300;
        for (double misfit = rows; misfit < 40.0 * rows; misfit += 0.5 * spread) {
            const double here = diagnosis::log_odds_of_more(misfit, rows);
            CHECK(here > before);
            // No width of one normal beats the one that fits best: rows / 2 times (m - 1 - ln m), m the mean
            // square (the maximum of a normal's likelihood over its variance).
            const double mean_square = misfit / rows;
            CHECK(here <= 0.5 * rows * (mean_square - 1.0 - std::log(mean_square)) + 1.0e-9);
            before = here;
        }
    }
}

TEST_CASE("on sheets that chance explains nothing goes to what is not listed", "[diagnosis]") {
    const scale::Description d = oracle::trimmed_scale(4);
    double sum = 0.0;
    int sheets = 0;
    for (std::uint64_t seed = 1; seed <= 15; ++seed) {
        sum += given_to_unlisted(d, {}, seed);
        sum += given_to_unlisted(d, {fault_at(Cause::weak_output, static_cast<int>(seed % 4), 0.9)}, seed);
        sheets += 2;
    }
    // What has no uncertainty but the stated one leaves as much as chance: the prior, times no evidence.
    CHECK(sum / sheets < 0.01);
}

TEST_CASE("three faults that all show are no two, and are not called so", "[diagnosis][long]") {
    const scale::Description d = oracle::trimmed_scale(8);
    const std::vector<Fault> weak = {fault_at(Cause::weak_output, 0, 0.9),
                                     fault_at(Cause::weak_output, 1, 0.9),
                                     fault_at(Cause::weak_output, 2, 0.8)};
    for (std::uint64_t seed = 1; seed <= 2; ++seed) CHECK(given_to_unlisted(d, weak, seed) > 0.5);
    // Two of them are what a pair explains.
    for (std::uint64_t seed = 1; seed <= 2; ++seed)
        CHECK(given_to_unlisted(d, {weak[0], weak[2]}, seed) < 0.1);
}
