#include <catch2/catch.hpp>

#include <string>
#include <vector>

#include "sim/field/visit_trial.h"
#include "sim/files/scale_file.h"

using namespace cornerbench;
using namespace cornerbench::field;

namespace {

const scale::Description& sawmill() {
    static const scale::Description d = [] {
        const auto loaded =
            files::load_scale(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/scales/sawmill-4.toml");
        return loaded.value->description;
    }();
    return d;
}

scale::Fault at_cell(scale::Cause cause, int cell) {
    scale::Fault fault;
    fault.cause = cause;
    fault.site = scale::site_at(sawmill(), cause, cell);
    return fault;
}

VisitOutcome planned(const scale::Fault& fault, std::uint64_t seed, const VisitSetting& setting = {}) {
    return visit(sawmill(), diagnosis::default_priors(sawmill()), {&fault, 1}, seed, setting, planned_check);
}

}  // namespace

// Hyndman and Fan, "Sample quantiles in statistical packages", 1996, definition 7, which R and NumPy use by
// default; numpy.quantile([1, 2, 4, 8], q) is 1, 1.75, 3, 5, 8.
TEST_CASE("Five numbers are the quantiles that other programs print", "[field]") {
    CHECK(five_numbers({8.0, 1.0, 4.0, 2.0}) == FiveNumbers{1.0, 1.75, 3.0, 5.0, 8.0});
    CHECK(five_numbers({3.0}) == FiveNumbers{3.0, 3.0, 3.0, 3.0, 3.0});
    CHECK(five_numbers({}) == FiveNumbers{});
}

TEST_CASE("A visit is the same visit again, and its minutes are those of its checks", "[field]") {
    const scale::Fault fault = at_cell(scale::Cause::upside_down, 2);
    const VisitOutcome once = planned(fault, 26);
    CHECK(planned(fault, 26) == once);
    CHECK(once.ended_sure());
    CHECK(once.right);
    CHECK(once.checks > 0);

    VisitSetting slow;
    slow.minutes = {40.0, 20.0, 20.0, 20.0, 10.0, 30.0, 80.0, 20.0};
    slow.most_minutes = 4800.0;
    const VisitOutcome slowly = planned(fault, 26, slow);
    CHECK(slowly.checks == once.checks);
    CHECK(slowly.minutes == 10.0 * once.minutes);
}

TEST_CASE("A working day ends a visit", "[field]") {
    VisitSetting short_day;
    short_day.most_minutes = 1.0;
    const VisitOutcome outcome = planned(at_cell(scale::Cause::upside_down, 2), 26, short_day);
    CHECK(outcome.end == VisitEnd::out_of_time);
    CHECK(outcome.minutes == 1.0);
}

TEST_CASE("What shows in the corner weights alone takes no checks", "[field]") {
    scale::Fault fault = at_cell(scale::Cause::open_wire, 1);
    fault.variant = scale::variant_at(sawmill(), scale::Cause::open_wire,
                                      scale::variant_count(sawmill(), scale::Cause::open_wire) - 1);
    REQUIRE(fault.variant.whole_cable);
    const VisitOutcome outcome = planned(fault, 5);
    CHECK(outcome.right);
    CHECK(outcome.ended_sure());
    CHECK(outcome.minutes == 0.0);
}

TEST_CASE("The plan is right as often as the textbook and faster on the median", "[field][campaign]") {
    TrialSetting setting;
    setting.sheets = 120;
    const VisitTrial trial =
        tally_visits(run_visits(sawmill(), diagnosis::default_priors(sawmill()), setting));
    CAPTURE(trial.plan.minutes[2], trial.textbook.minutes[2], trial.plan.right, trial.textbook.right);
    CHECK(trial.saved() > 0.4);
    CHECK(trial.plan.right >= trial.textbook.right - 6);
    CHECK(trial.plan.sure_wrong <= 9);
}
