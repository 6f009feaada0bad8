#include <catch2/catch.hpp>

#include <cmath>
#include <vector>

#include "sim/faults/fault_list.h"
#include "tests/diagnosis/bench_scales.h"

using namespace cornerbench;
using faults::Course;
using faults::RunningFault;
using faults::Scheduled;
using scale::Cause;

namespace {

scale::Fault at_cell(Cause cause, double magnitude, int cell = 2) {
    scale::Fault fault;
    fault.cause = cause;
    fault.site = {scale::SiteKind::cell, cell, 0};
    fault.variant.b = scale::Wire::shield;
    fault.magnitude[0] = magnitude;
    return fault;
}

RunningFault running(const Scheduled& scheduled, std::uint64_t stream = 1) {
    return RunningFault(oracle::trimmed_scale(8), scheduled, 100.0, field::RandomSource(5, stream));
}

}  // namespace

TEST_CASE("a plain fault is there at once, whole, until it is mended", "[faults]") {
    RunningFault fault = running({at_cell(Cause::open_wire, 0.0), {}});
    CHECK_FALSE(fault.present());
    CHECK_FALSE(fault.step_to(99.9));
    CHECK(fault.step_to(100.0));
    CHECK(fault.present());
    CHECK_FALSE(fault.step_to(1.0e9));
    fault.mend();
    CHECK(fault.step_to(1.0e9));
    CHECK(fault.over());
    CHECK_FALSE(fault.present());
}

TEST_CASE("a fault comes and goes when its course says", "[faults]") {
    Course course;
    course.begins_s = 10.0;
    course.ends_s = 30.0;
    RunningFault fault = running({at_cell(Cause::shifted_zero, 1.0e-4), course});
    CHECK_FALSE(fault.step_to(109.0));
    CHECK(fault.step_to(110.0));
    CHECK(fault.fault().magnitude[0] == 1.0e-4);
    CHECK_FALSE(fault.step_to(129.9));
    CHECK(fault.step_to(130.0));
    CHECK(fault.over());
}

TEST_CASE("a growing fault grows in a straight line, a leak by factors", "[faults]") {
    Course course;
    course.grows_s = 1000.0;
    const auto halfway = [&course](const scale::Fault& full) {
        RunningFault fault = running({full, course});
        for (double t = 100.0; t <= 600.0; t += 0.5) fault.step_to(t);
        const double half = fault.fault().magnitude[0];
        for (double t = 600.0; t <= 1101.0; t += 0.5) fault.step_to(t);
        CHECK(fault.fault().magnitude[0] == full.magnitude[0]);
        CHECK_FALSE(fault.step_to(5000.0));
        return half;
    };
    CHECK(halfway(at_cell(Cause::shifted_zero, 2.0e-4)) == Approx(1.0e-4));
    CHECK(halfway(at_cell(Cause::loose_terminal, 30.0)) == Approx(15.0));
    CHECK(halfway(at_cell(Cause::weak_output, 0.8)) == Approx(0.9));
    // Geometric mean of a dry 100 Mohm and 10 kohm.
    CHECK(halfway(at_cell(Cause::wet_leak, 1.0e4)) == Approx(1.0e6));
}

TEST_CASE("every cause begins from where it does nothing", "[faults]") {
    // A condition with the harmless fault is the sound one, to what a dry junction's 100 Mohm makes.
    const scale::Description d = oracle::trimmed_scale(8);
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<Cause>(i);
        scale::Fault fault;
        fault.cause = cause;
        fault.site = scale::site_at(d, cause, 0);
        const int sizes = scale::magnitudes_of(d, cause, fault.site).count;
        if (sizes == 0 || !scale::possible(d, cause)) continue;
        INFO(scale::name_of(cause));
        for (int m = 0; m < sizes; ++m) {
            fault.magnitude[static_cast<unsigned>(m)] = 1.0e6;
            fault.magnitude[static_cast<unsigned>(m)] = faults::harmless_magnitude(d, fault, m);
        }
        scale::Condition c = scale::sound_condition(d);
        const scale::Condition sound = c;
        scale::apply(fault, d, c);
        CHECK(c.excitation_V == sound.excitation_V);
        CHECK(c.home_run_ohm == sound.home_run_ohm);
        const scale::CellCondition& cell = c.cells[0];
        CHECK(cell.sensitivity_V_per_V == sound.cells[0].sensitivity_V_per_V);
        CHECK(cell.zero_V_per_V == sound.cells[0].zero_V_per_V);
        CHECK(cell.cable_m == sound.cells[0].cable_m);
        CHECK(cell.arm_change_ohm == sound.cells[0].arm_change_ohm);
        CHECK(c.positions[0].trim_at == sound.positions[0].trim_at);
        CHECK(c.positions[0].contact_ohm == sound.positions[0].contact_ohm);
        CHECK(c.supports[0].height_m == sound.supports[0].height_m);
        CHECK(c.supports[0].bound_share == sound.supports[0].bound_share);
        if (c.contact_count > 0) CHECK(c.contacts[0].friction_limit_N == 0.0);
        if (cell.leak_count > 0) CHECK(cell.leaks[0].ohm >= 1.0e8);
    }
}

TEST_CASE("an intermittent fault is there for its share of the time", "[faults]") {
    Course course;
    course.on_s = 3.0;
    course.off_s = 7.0;
    for (const bool irregular : {false, true}) {
        course.irregular = irregular;
        RunningFault fault = running({at_cell(Cause::open_wire, 0.0), course});
        int on = 0;
        int changes = 0;
        constexpr int count = 2'000'000;
        for (int n = 0; n < count; ++n) {
            if (fault.step_to(100.0 + 0.01 * n)) ++changes;
            if (fault.present()) ++on;
        }
        // 2000 rounds of on and off, each on within 1/sqrt of its mean when it is irregular.
        CHECK(static_cast<double>(on) / count == Approx(0.3).margin(irregular ? 0.03 : 1.0e-4));
        CHECK(changes == Approx(4000).epsilon(irregular ? 0.1 : 1.0e-3));
    }
}

TEST_CASE("a wandering size walks at random and stays where its cause can be", "[faults]") {
    // A random walk's variance grows with time: wander^2 per hour, of the logarithm.
    Course course;
    course.wander = 0.5;
    constexpr int walks = 100;
    double squares = 0.0;
    double mean = 0.0;
    for (std::uint64_t stream = 0; stream < walks; ++stream) {
        RunningFault fault = running({at_cell(Cause::wet_leak, 1.0e5), course}, stream);
        for (double t = 100.0; t <= 1000.0; t += 1.0) fault.step_to(t);
        const double walked = std::log(fault.fault().magnitude[0] / 1.0e5);
        squares += walked * walked / walks;
        mean += walked / walks;
    }
    CHECK(squares == Approx(0.25 * 900.0 / 3600.0).epsilon(5.0 * std::sqrt(2.0 / walks)));
    CHECK(std::fabs(mean) < 5.0 * 0.25 / std::sqrt(walks));

    course.wander = 200.0;
    RunningFault wild = running({at_cell(Cause::wet_leak, 1.0e5), course});
    double low = 1.0e30;
    double high = 0.0;
    for (double t = 100.0; t <= 5000.0; t += 1.0) {
        wild.step_to(t);
        const double ohm = wild.fault().magnitude[0];
        REQUIRE(ohm >= 1.0e2 * (1.0 - 1.0e-12));
        REQUIRE(ohm <= 1.0e8 * (1.0 + 1.0e-12));
        low = std::min(low, ohm);
        high = std::max(high, ohm);
    }
    CHECK(low < 1.0e3);
    CHECK(high > 1.0e7);
}

TEST_CASE("a list lays its faults into a condition in their order, and says whose each contact is",
          "[faults]") {
    const scale::Description d = oracle::trimmed_scale(8);
    faults::FaultList list(3);
    scale::Fault rubs;
    rubs.cause = Cause::rubbing;
    rubs.site = {scale::SiteKind::support, 1, 0};
    rubs.magnitude = {1.0e7, 500.0};
    scale::Fault end = rubs;
    end.site = {scale::SiteKind::left_end, 0, 0};
    const int zero = list.add(d, {at_cell(Cause::shifted_zero, 1.0e-4), {}}, 0.0);
    const int first = list.add(d, {rubs, {}}, 0.0);
    const int second = list.add(d, {end, {}}, 0.0);
    scale::Condition c = scale::sound_condition(d);
    CHECK(list.apply(d, c)[0] == 0);
    CHECK(c.contact_count == 0);
    CHECK(list.step_to(0.01));
    const auto owners = list.apply(d, c);
    REQUIRE(c.contact_count == 2);
    CHECK(owners[0] == first);
    CHECK(owners[1] == second);
    CHECK(c.cells[2].zero_V_per_V == 1.0e-4);
    CHECK(list.mend(first));
    CHECK(list.step_to(0.02));
    CHECK(list.find(first) == nullptr);
    CHECK_FALSE(list.mend(first));
    scale::Condition after = scale::sound_condition(d);
    CHECK(list.apply(d, after)[0] == second);
    CHECK(after.contact_count == 1);
    REQUIRE(list.find(zero) != nullptr);
    CHECK(list.find(zero)->present());
}
