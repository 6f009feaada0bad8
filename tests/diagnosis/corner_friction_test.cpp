#include "tests/diagnosis/corner_cases.h"

#include <catch2/catch.hpp>

using namespace cornerbench;
using namespace cornerbench::diagnosis;
using namespace cornerbench::oracle;
using Kind = CornerFindingKind;
using scale::SiteKind;

TEST_CASE("friction shows between up and down, and a bound support does not", "[corner check]") {
    const CornerScale scale = vehicle_scale(3);
    const auto both_ways = [&](double up_kg, double down_kg, double left_kg) {
        CornerReadings readings(6);
        REQUIRE(readings.add_empty(0.0) == CornerError::none);
        for (int i = 0; i < 6; ++i) {
            REQUIRE(readings.add_loaded(i, mass_kg, mass_kg + (i == 4 ? up_kg : 0.0)) == CornerError::none);
            REQUIRE(readings.add_unloading(i, mass_kg, mass_kg + (i == 4 ? down_kg : 0.0)) ==
                    CornerError::none);
            REQUIRE(readings.add_empty(i == 4 ? left_kg : 0.0) == CornerError::none);
        }
        return judge(scale, readings);
    };
    CHECK(both_ways(0.0, 0.0, 0.0).verdict == CornerVerdict::alike);

    const CornerReport rubbing = both_ways(-600.0, 600.0, 0.0);
    CHECK(found(rubbing, 4, {Kind::rubbing}) != nullptr);
    const CornerFinding* climb = found(rubbing, 4, {Kind::friction});
    REQUIRE(climb != nullptr);
    CHECK(climb->size.value == Approx(1200.0));

    const CornerReport bound = both_ways(-600.0, -600.0, 0.0);
    REQUIRE(bound.count == 1);
    const CornerFinding* low = found(bound, 4, {Kind::bound_or_weak});
    REQUIRE(low != nullptr);
    CHECK(low->size.value == Approx(0.06).margin(1e-3));

    // Up and down alike, but 10 t were put down and taken off: nothing was seen that holds it.
    const CornerReport only_up = judge(scale, round_of(scale, [](int i) { return i == 4 ? 0.94 : 1.0; }));
    REQUIRE(only_up.count == 1);
    CHECK(only_up.findings[0].kind == Kind::carries_too_little);
}

TEST_CASE("what stays on the empty deck is friction", "[corner check]") {
    const CornerScale scale = vehicle_scale(4);
    CornerReadings readings = round_of(scale, [](int) { return 1.0; });
    REQUIRE(readings.add_empty(160.0) == CornerError::none);
    const CornerReport report = judge(scale, readings);
    REQUIRE(report.count == 1);
    CHECK(report.findings[0].kind == Kind::friction);
    CHECK(report.findings[0].place.kind == SiteKind::none);
    CHECK(report.findings[0].size.value == Approx(160.0));

    CornerReadings little = round_of(scale, [](int) { return 1.0; });
    REQUIRE(little.add_empty(20.0) == CornerError::none);
    CHECK(judge(scale, little).count == 0);
}

TEST_CASE("a contact that slides is one fault, though it shifts all that follows", "[corner check]") {
    // Limp deck, support 2 of eight: 2 t of friction on the first load over it, and it stays 2 t down from
    // then on, so that all later corners, counted from the first zero, show 2 t more.
    const CornerScale scale = vehicle_scale(4);
    CornerReadings readings(8);
    REQUIRE(readings.add_empty(0.0) == CornerError::none);
    for (int i = 0; i < 8; ++i) {
        const double shown_kg = mass_kg + (i < 2 ? 0.0 : i == 2 ? -2000.0 : 2000.0);
        REQUIRE(readings.add_loaded(i, mass_kg, shown_kg) == CornerError::none);
    }
    REQUIRE(readings.add_empty(2000.0) == CornerError::none);
    const CornerReport report = judge(scale, readings);
    const CornerFinding* finding = found(report, 2, {Kind::rubbing});
    REQUIRE(finding != nullptr);
    CHECK(finding->size.value == Approx(0.2).margin(0.01));
    CHECK(report.count == 2);
    CHECK(report.findings[1].kind == Kind::friction);
}

TEST_CASE("the order of the corners does not matter without friction, nor does a common empty reading",
          "[corner check]") {
    const CornerScale scale = vehicle_scale(4, 1.5e7);
    CornerReadings forwards(8);
    CornerReadings backwards(8);
    REQUIRE(forwards.add_empty(40.0) == CornerError::none);
    REQUIRE(backwards.add_empty(0.0) == CornerError::none);
    for (int i = 0; i < 8; ++i) {
        const double shown_kg = i == 6 ? 9000.0 : i == 5 || i == 7 ? 9960.0 : mass_kg;
        REQUIRE(forwards.add_loaded(i, mass_kg, shown_kg + 40.0) == CornerError::none);
    }
    for (int i = 7; i >= 0; --i) {
        const double shown_kg = i == 6 ? 9000.0 : i == 5 || i == 7 ? 9960.0 : mass_kg;
        REQUIRE(backwards.add_loaded(i, mass_kg, shown_kg) == CornerError::none);
    }
    const CornerReport a = judge(scale, forwards);
    const CornerReport b = judge(scale, backwards);
    REQUIRE(a.count == b.count);
    REQUIRE(a.count >= 1);
    CHECK(found(a, 6, {Kind::carries_too_little}) != nullptr);
    CHECK(a.findings[0].size.value == Approx(b.findings[0].size.value).epsilon(1e-6));
}
