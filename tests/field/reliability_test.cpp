#include <catch2/catch.hpp>

#include <cmath>

#include "sim/field/trial.h"
#include "tests/yard/shipped_yard.h"

// Of what is stated with a probability, so much comes true, in a world with creep, hysteresis, warmth, drift,
// careless placing and meters that err alike, of which the diagnosis knows nothing.

using namespace cornerbench;

TEST_CASE("over 5 000 sheets of a rich world statements come true as often as they say",
          "[field][campaign]") {
    const tests::ShippedScale shipped("sawmill-4");
    const scale::Description& d = shipped.description();
    field::TrialSetting setting;
    setting.sheets = 5000;
    setting.first_seed = 700001;
    setting.setting.unmodelled = field::rich_world;
    const auto outcomes = field::run_trial(d, diagnosis::default_priors(d), setting);
    const field::Trial trial = field::tally(outcomes);
    CHECK(trial.failed == 0);
    int bins = 0;
    for (const field::ReliabilityBin& bin : trial.reliability) {
        if (bin.statements < 100) continue;
        ++bins;
        const double stated = bin.stated / bin.statements;
        const double came_true = static_cast<double>(bin.true_ones) / bin.statements;
        // Three points, beside what the binomial spread of so many statements brings by chance in one of
        // twenty (two standard deviations).
        const double chance = 2.0 * std::sqrt(stated * (1.0 - stated) / bin.statements);
        CAPTURE(bin.statements, stated, came_true, chance);
        CHECK(std::fabs(stated - came_true) < 0.03 + chance);
    }
    CHECK(bins == field::reliability_bins);
    // Faults that move some reading by more than ten standard uncertainties come first, or in a group small
    // enough to act on.
    REQUIRE(trial.plain > 1000);
    CHECK(trial.plain_answers >= 0.97 * trial.plain);
}
