#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <string>

#include "sim/field/fault_draw.h"
#include "sim/field/log_curve.h"
#include "sim/field/magnitude_posterior.h"
#include "sim/field/magnitude_ranks.h"
#include "sim/files/scale_file.h"

using namespace cornerbench;
using namespace cornerbench::field;
using scale::Cause;

namespace {

scale::Description shipped(const std::string& name) {
    const auto loaded =
        files::load_scale(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/scales/" + name + ".toml");
    REQUIRE(loaded);
    return loaded.value->description;
}

double standard_normal_below(double z) {
    return 0.5 * std::erfc(-z / std::sqrt(2.0));
}

void ranks_of_every_cause(const std::string& name) {
    const scale::Description d = shipped(name);
    TrialSetting setting;
    setting.sheets = 2100;
    const RankTrial trial = tally_ranks(run_ranks(d, diagnosis::default_priors(d), setting));
    CHECK(trial.failed == 0);
    CHECK(trial.magnitudes.size() == 15);
    for (const RankTally& tally : trial.magnitudes) {
        CAPTURE(name, scale::name_of(tally.cause), tally.magnitude, tally.chi_square, tally.probability);
        CHECK(tally.enough);
        CHECK(trial.uniform(tally));
    }
}

}  // namespace

// The 5 % and 1 % points of chi-square with 10 degrees of freedom and the 5 % point with 2: NIST/SEMATECH
// e-Handbook of Statistical Methods, 1.3.6.7.4 (from memory).
TEST_CASE("The tail of chi-square is that of the tables", "[field]") {
    CHECK(chi_square_tail(18.307, 10) == Approx(0.05).epsilon(1.0e-4));
    CHECK(chi_square_tail(23.209, 10) == Approx(0.01).epsilon(1.0e-3));
    CHECK(chi_square_tail(5.991, 2) == Approx(0.05).epsilon(1.0e-3));
    CHECK(chi_square_tail(0.0, 10) == 1.0);
}

TEST_CASE("A curve known by its logarithm finds a peak however narrow", "[field]") {
    for (const double sigma : {0.3, 1.0e-2, 1.0e-4, 1.0e-6}) {
        for (const double middle : {0.0, 0.3141, 0.9}) {
            CAPTURE(sigma, middle);
            const LogCurve curve(
                [&](double u) {
                    const double z = (u - middle) / sigma;
                    return 1.0e4 - 0.5 * z * z;
                },
                {}, {});
            const double low = standard_normal_below(-middle / sigma);
            const double whole = standard_normal_below((1.0 - middle) / sigma) - low;
            const double area = std::log(whole * sigma * std::sqrt(2.0 * std::acos(-1.0)));
            CHECK(curve.log_area() == Approx(1.0e4 + area).margin(2.0e-3));
            for (const double z : {-1.5, -0.5, 0.0, 0.7, 2.0}) {
                const double u = middle + z * sigma;
                if (u < 0.0 || u > 1.0) continue;
                const double expected = (standard_normal_below(z) - low) / whole;
                CHECK(curve.share_below(u) == Approx(expected).margin(2.0e-3));
                CHECK(curve.quantile(curve.share_below(u)) == Approx(u).margin(1.0e-3 * sigma));
            }
        }
    }
}

TEST_CASE("A straight logarithm is summed without error", "[field]") {
    for (const double slope : {0.0, -3.0, 700.0}) {
        const LogCurve curve([&](double u) { return slope * u; }, {}, {5, 1.0, 5});
        const double half = slope == 0.0 ? 0.5 : std::expm1(0.5 * slope) / std::expm1(slope);
        CHECK(curve.share_below(0.5) == Approx(half).epsilon(1.0e-9));
        CHECK(curve.share_below(1.0) == Approx(1.0));
        CHECK(curve.mean([](double) { return 4.0; }) == Approx(4.0));
    }
}

TEST_CASE("What the diagnosis states of a magnitude is its posterior, closely gone over", "[field][long]") {
    const scale::Description d = shipped("sawmill-4");
    const diagnosis::Priors priors = diagnosis::default_priors(d);
    // By how much the diagnosis lets a stated middle be off: a seventh of a standard deviation.
    const double a_seventh = standard_normal_below(1.0 / 7.0) - 0.5;
    int compared = 0;
    int near = 0;
    for (const Cause cause : {Cause::weak_output, Cause::shifted_zero, Cause::wet_leak, Cause::altered_cable,
                              Cause::loose_terminal, Cause::bound_support, Cause::home_run_loose}) {
        for (std::uint64_t seed = 1; seed <= 5; ++seed) {
            RandomSource random(seed, 61);
            const scale::Fault truth = draw_fault_of(d, cause, random);
            const SimulatedSheet made = simulate_sheet(d, {&truth, 1}, seed);
            const diagnosis::Sheet sheet = made.sheet();
            const DiagnosedSheet ranked = rank_causes(d, sheet, priors);
            const diagnosis::Candidate& top = ranked.candidates.front();
            // The diagnosis takes trouble over what leads.
            if (ranked.outcome.wild_count > 0 || !same_cause_and_place(top.fault, truth)) continue;
            MagnitudePosterior posterior(d, sheet);
            REQUIRE(posterior.good());
            const auto stated = {std::pair{top.estimate[0].low, 0.05}, std::pair{top.estimate[0].value, 0.5},
                                 std::pair{top.estimate[0].high, 0.95}};
            for (const auto& [value, share] : stated) {
                scale::Fault at = top.fault;
                at.magnitude[0] = value;
                CAPTURE(scale::name_of(cause), seed, value, share);
                const double off = std::fabs(posterior.shares_below(at)[0] - share);
                CHECK(off < 0.2);
                ++compared;
                near += off < a_seventh ? 1 : 0;
            }
        }
    }
    CAPTURE(compared, near);
    CHECK(compared > 45);
    CHECK(near > 0.95 * compared);
}

TEST_CASE("True magnitudes of all causes together stand evenly in what is stated", "[field][long]") {
    const scale::Description d = shipped("sawmill-4");
    TrialSetting setting;
    setting.sheets = 132;
    RankTally all;
    for (const RankCase& c : run_ranks(d, diagnosis::default_priors(d), setting)) {
        REQUIRE(c.answered);
        for (const RankedMagnitude& m : c.magnitudes) all.shares.push_back(m.share);
    }
    test_uniform(all);
    CAPTURE(all.chi_square, all.mean);
    CHECK(all.probability > 1.0e-3);
}

TEST_CASE("A posterior of half the width is found out", "[field]") {
    RankTally narrow;
    RandomSource random(1, 71);
    for (int i = 0; i < 200; ++i) narrow.shares.push_back(standard_normal_below(2.0 * random.normal()));
    test_uniform(narrow);
    CHECK(narrow.probability < 1.0e-6);
}

TEST_CASE("True magnitudes stand evenly in what is stated, cause by cause", "[field][campaign]") {
    ranks_of_every_cause("sawmill-4");
}

TEST_CASE("True magnitudes of a scale of eight stand evenly, cause by cause", "[field][night]") {
    ranks_of_every_cause("quarry-8");
}
