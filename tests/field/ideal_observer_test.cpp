#include <catch2/catch.hpp>

#include <cmath>

#include "sim/field/observer_trial.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/ranking.h"

// The ideal observer draws whole specimens from the generator and weighs the sheet on each. With the
// diagnosis' linearised integrals it shares the spreads, not the way to an answer, so each is the other's
// check.

using namespace cornerbench;
using scale::Cause;

TEST_CASE("chosen draws are given in the order asked for, and grow by middles", "[field]") {
    field::ChosenStream chosen;
    chosen.normal = {1.0, -2.0};
    chosen.even = {true, false};
    field::RandomSource random(chosen);
    CHECK(random.share() == Approx(0.841344746).epsilon(1.0e-8));  // standard normal below 1, any table
    CHECK(random.normal() == -2.0);
    CHECK(random.between(2.0, 4.0) == Approx(3.0));
    REQUIRE(chosen.normal.size() == 3);
    CHECK(chosen.normal[2] == 0.0);
    CHECK(chosen.even[2]);
}

TEST_CASE("with all draws in the middle an exact reading is that of the scale as described", "[field]") {
    // A sound scale shows what stands on it.
    const scale::Description d = oracle::trimmed_scale(4);
    field::Draws draws;
    const field::SimulatedSheet sheet = field::read_exactly(d, scale::Fault{}, draws, {}, {});
    REQUIRE(draws.size() > 0);
    const std::size_t drawn = draws.size();
    int weights = 0;
    for (const diagnosis::Reading& r : sheet.readings) {
        if (r.quantity != diagnosis::Quantity::weight) continue;
        ++weights;
        CHECK(r.value == Approx(r.load.total_kg()).margin(0.05 * d.division_kg));
    }
    CHECK(weights > 6);
    const field::SimulatedSheet again = field::read_exactly(d, scale::Fault{}, draws, {}, {});
    CHECK(draws.size() == drawn);
    for (std::size_t i = 0; i < sheet.readings.size(); ++i) {
        CHECK(sheet.readings[i].value == again.readings[i].value);
    }
}

TEST_CASE("The evidence of the diagnosis is what drawn specimens say", "[field][long]") {
    // Importance sampling with 400 draws: what is left of its own scatter is well below the margin.
    const scale::Description d = oracle::trimmed_scale(4);
    const scale::Fault truths[] = {
        oracle::fault_at(Cause::weak_output, 1, 0.985),
        oracle::wire_fault(Cause::loose_terminal, 2, scale::Wire::excitation_plus, 6.0)};
    for (const scale::Fault& truth : truths) {
        const field::SimulatedSheet sheet = field::simulate_sheet(d, {&truth, 1}, 5, oracle::corners_alone());
        const field::DiagnosedSheet found =
            field::rank_causes(d, sheet.sheet(), diagnosis::default_priors(d));
        std::vector<diagnosis::Candidate> leading;
        for (const diagnosis::Candidate& c : found.candidates) {
            if (c.fault.cause != Cause::unlisted && leading.size() < 4) leading.push_back(c);
        }
        const auto ideal =
            field::ideal_ranking(d, sheet, oracle::corners_alone(), {}, leading, 1, {400, 100.0, 400});
        REQUIRE(ideal.size() == leading.size());
        double sum = 0.0;
        for (const diagnosis::Candidate& by_draws : ideal) {
            sum += by_draws.probability;
            for (const diagnosis::Candidate& c : leading) {
                if (!field::same_cause_and_place(c, by_draws)) continue;
                CAPTURE(scale::name_of(c.fault.cause), c.fault.site.index);
                CHECK(by_draws.log_evidence == Approx(c.log_evidence).margin(0.35));
            }
        }
        CHECK(sum == Approx(1.0));
    }
}

TEST_CASE("One seed is one observer, and it knows what cannot be", "[field][long]") {
    const scale::Description d = oracle::trimmed_scale(4);
    field::TrialSetting setting;
    setting.sheets = 2;
    setting.plan = oracle::corners_alone();
    const field::IdealSetting quick{5, 2.0, 5};
    const auto priors = diagnosis::default_priors(d);
    const auto once = field::run_observer_trial(d, priors, setting, {}, {}, quick);
    CHECK(once == field::run_observer_trial(d, priors, setting, {}, {}, quick));
    const field::ObserverTrial trial = field::tally_observer(once);
    CHECK(trial.ideal.sheets == 2);
    CHECK(trial.diagnosis.failed == 0);
    for (const field::ObserverCase& one : once) CHECK(one.ideal.first != Cause::unlisted);
}
