#include "sim/bad_days/error_bound.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "tests/bad_days/shipped_days.h"

using namespace cornerbench;
using namespace cornerbench::bad_days;

namespace {

Mishap rubbing(double friction_N) {
    Mishap mishap;
    mishap.kind = Kind::cause;
    mishap.lasts_s = 600.0;
    mishap.cause.fault.cause = scale::Cause::rubbing;
    mishap.cause.fault.site = {scale::SiteKind::support, 2, 0};
    mishap.cause.fault.magnitude = {2.0e7, friction_N};
    return mishap;
}

}  // namespace

TEST_CASE("a contact's error is bounded by twice its friction, all else by the display", "[bad_days]") {
    scale::Description d;
    d.max_kg = 60'000.0;
    d.division_kg = 20.0;
    d.gravity = 9.81;
    const weighing::RangeSettings range;
    scale::Fault fault;
    fault.cause = scale::Cause::rubbing;
    fault.magnitude = {1.0e7, 981.0};
    // 981 N are 100 kg or 5 d; 3 d besides.
    CHECK(error_bound(d, range, fault, -4.0, 1000.0, 3.0).divisions == Approx(13.0));
    fault.magnitude[1] = 1.0e9;
    // 3000 d, and 9 d above it; 20 d below nothing.
    CHECK(error_bound(d, range, fault, 4.0, 1000.0, 3.0).divisions == Approx(2010.0));
    CHECK(error_bound(d, range, fault, -4.0, 1000.0, 3.0).divisions == Approx(1021.0));
    fault.cause = scale::Cause::weak_output;
    CHECK(error_bound(d, range, fault, -4.0, 1000.0, 3.0).from == bound_by_display);
}

TEST_CASE("no contact shows an error beyond its bound, and some come near it", "[bad_days]") {
    double nearest = 0.0;
    int showed = 0;
    for (const DayScale& scale : tests::shipped_days())
        for (const double friction_N : {2.0e3, 1.0e4, 4.0e4})
            for (std::uint64_t seed = 1; seed <= 3; ++seed) {
                DaySetting setting;
                setting.mishaps = {rubbing(friction_N)};
                const DayOutcome day = spend_day(scale, seed, setting);
                INFO(scale.name << ":" << seed << " " << friction_N);
                REQUIRE(day.refusal.empty());
                for (const Excused& one : day.excused) {
                    if (!one.showed) continue;
                    ++showed;
                    CHECK(std::fabs(one.error_d) <= one.bound_d);
                    nearest = std::fmax(nearest, std::fabs(one.error_d) / one.bound_d);
                }
            }
    CHECK(showed > 10);
    // Half of it is one sign of the friction.
    CHECK(nearest > 0.3);
}
