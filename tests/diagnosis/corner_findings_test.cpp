#include "tests/diagnosis/corner_cases.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace cornerbench;
using namespace cornerbench::diagnosis;
using namespace cornerbench::oracle;
using Kind = CornerFindingKind;
using scale::SiteKind;

TEST_CASE("corners that all show the mass are alike", "[corner check]") {
    for (const int sections : {2, 3, 4, 8}) {
        const CornerScale scale = vehicle_scale(sections);
        const CornerReport report = judge(scale, round_of(scale, [](int) { return 1.0; }));
        CHECK(report.error == CornerError::none);
        CHECK(report.verdict == CornerVerdict::alike);
        CHECK(report.count == 0);
        CHECK(report.unread == 0);
        CHECK(report.unjudged == 0);
        for (int i = 0; i < scale.supports(); ++i) {
            const auto at = static_cast<unsigned>(i);
            CHECK(report.gain[at].value == Approx(1.0).margin(1e-6));
            // 20 kg rounding, 5 kg repeatability, 0.06 % of trim on 10 t: roughly a tenth of a percent.
            CHECK(report.gain[at].uncertainty == Approx(1.0e-3).epsilon(0.25));
        }
    }
}

TEST_CASE("a cell against its arrow takes twice its share off the sum", "[corner check]") {
    // Common practice, no source: its own corner of a limp deck shows the mass, negative.
    const CornerScale limp = vehicle_scale(4);
    // On a rigid plate it takes twice what it carries of every corner (statics in closed form).
    const CornerScale rigid = vehicle_scale(2, 1.0e14);
    for (int cell = 0; cell < 8; ++cell) {
        const CornerReport report =
            judge(limp, round_of(limp, [cell](int i) { return i == cell ? -1.0 : 1.0; }));
        REQUIRE(report.count == 1);
        const CornerFinding* finding = found(report, cell, {Kind::reversed_cell});
        REQUIRE(finding != nullptr);
        CHECK(finding->size.value == Approx(-1.0).margin(1e-6));
        CHECK(finding->significance > 100.0);
    }
    for (int cell = 0; cell < 4; ++cell) {
        const CornerReport report =
            judge(rigid, round_of(rigid, [cell](int i) { return 1.0 - 2.0 * rigid_share(i - cell); }));
        REQUIRE(report.count == 1);
        CHECK(found(report, cell, {Kind::reversed_cell}) != nullptr);
        CHECK(report.verdict == CornerVerdict::not_alike);
    }
}

TEST_CASE("a dead cell takes its share off the sum, whatever the bus then makes of the others",
          "[corner check]") {
    const CornerScale limp = vehicle_scale(3);
    const CornerScale rigid = vehicle_scale(2, 1.0e14);
    const CornerReport one = judge(limp, round_of(limp, [](int i) { return i == 4 ? 0.0 : 1.0; }));
    REQUIRE(one.count == 1);
    CHECK(found(one, 4, {Kind::dead_cell}) != nullptr);

    // Lifted off a bus of n equal cells, a dead cell leaves the others n / (n - 1) of their gain (parallel
    // bridges, v = sum(v_i / R_i) / sum(1 / R_i)).
    const CornerReport lifted = judge(limp, round_of(limp, [](int i) { return i == 4 ? 0.0 : 1.2; }));
    REQUIRE(lifted.count == 2);
    CHECK(found(lifted, 4, {Kind::dead_cell}) != nullptr);
    CHECK(lifted.findings[1].kind == Kind::all_corners_off);
    CHECK(lifted.findings[1].size.value == Approx(0.2).margin(1e-3));

    const CornerReport plate = judge(rigid, round_of(rigid, [](int i) { return 1.0 - rigid_share(i - 2); }));
    REQUIRE(plate.count == 1);
    CHECK(found(plate, 2, {Kind::dead_cell}) != nullptr);
}

TEST_CASE("two reversed cells and a dead one are all named", "[corner check]") {
    const CornerScale scale = vehicle_scale(5);
    const CornerReport report = judge(scale, round_of(scale, [](int i) {
                                          return i == 1 || i == 6 ? -1.0 : i == 9 ? 0.0 : 1.0;
                                      }));
    CHECK(report.count == 3);
    CHECK(found(report, 1, {Kind::reversed_cell}) != nullptr);
    CHECK(found(report, 6, {Kind::reversed_cell}) != nullptr);
    CHECK(found(report, 9, {Kind::dead_cell}) != nullptr);
}

TEST_CASE("a support that loses a share is named with that share", "[corner check]") {
    const CornerScale scale = vehicle_scale(4);
    const CornerReport low = judge(scale, round_of(scale, [](int i) { return i == 5 ? 0.8 : 1.0; }));
    REQUIRE(low.count == 1);
    const CornerFinding* finding = found(low, 5, {Kind::carries_too_little});
    REQUIRE(finding != nullptr);
    CHECK(finding->size.value == Approx(0.2).margin(1e-3));
    CHECK(finding->log_odds > 10.0);

    const CornerReport high = judge(scale, round_of(scale, [](int i) { return i == 2 ? 1.03 : 1.0; }));
    REQUIRE(high.count == 1);
    finding = found(high, 2, {Kind::reads_too_much});
    REQUIRE(finding != nullptr);
    CHECK(finding->size.value == Approx(0.03).margin(1e-3));
}

TEST_CASE("a contact between supports lowers both", "[corner check]") {
    // Limp deck: a spring at a point takes from each support by its bilinear weight there.
    const CornerScale scale = vehicle_scale(4);
    struct Side {
        SiteKind kind;
        int first;
        int second;
    };
    for (const Side side : {Side{SiteKind::far_side, 1, 2}, Side{SiteKind::near_side, 5, 6},
                            Side{SiteKind::left_end, 0, 7}, Side{SiteKind::right_end, 3, 4}}) {
        const CornerReport report = judge(scale, round_of(scale, [side](int i) {
                                              return i == side.first || i == side.second ? 0.97 : 1.0;
                                          }));
        REQUIRE(report.count == 1);
        CHECK(report.findings[0].place.kind == side.kind);
        CHECK(report.findings[0].kind == Kind::carries_too_little);
        CHECK(report.findings[0].size.value == Approx(0.06).margin(2e-3));
    }
}

TEST_CASE("what falls short of the limit is not called", "[corner check]") {
    const CornerScale scale = vehicle_scale(4);
    const CornerReport sound = judge(scale, round_of(scale, [](int) { return 1.0; }));
    const double u = sound.gain[3].uncertainty;
    const auto low_by = [&](double sigmas) {
        return judge(scale, round_of(scale, [&](int i) { return i == 3 ? 1.0 - sigmas * u : 1.0; }));
    };
    CHECK(low_by(0.98 * sound.limit_sigmas).count == 0);
    CHECK(low_by(1.02 * sound.limit_sigmas).count == 1);
    // One in a thousand over 8 supports and 4 sides, 8 climbs, all together, span and residue: 23 tests both
    // ways, 1e-3 / 46 = 2.174e-5, whose normal point is 4.09 (tables of the normal distribution).
    CHECK(sound.limit_sigmas == Approx(4.09).margin(0.01));
    CHECK(sound.surely_found[3] == Approx((sound.limit_sigmas + 2.326) * u).epsilon(1e-3));
}

TEST_CASE("all corners off alike is the span's fault, not a corner's", "[corner check]") {
    const CornerScale scale = vehicle_scale(4);
    const CornerReport report = judge(scale, round_of(scale, [](int) { return 0.986; }));
    REQUIRE(report.count == 1);
    CHECK(report.findings[0].kind == Kind::all_corners_off);
    CHECK(report.findings[0].size.value == Approx(-0.014).margin(1e-4));
}

TEST_CASE("corners that differ without a pattern are left unexplained", "[corner check]") {
    const CornerScale scale = vehicle_scale(8);
    const CornerReport report = judge(
        scale, round_of(scale, [](int i) { return 1.0 + 0.01 * ((i * 7) % 5 - 2) + 0.003 * ((i * 3) % 4); }));
    CHECK(report.verdict == CornerVerdict::not_alike);
    bool unexplained = false;
    for (int f = 0; f < report.count; ++f) {
        unexplained = unexplained || report.findings[static_cast<unsigned>(f)].kind == Kind::unexplained;
    }
    CHECK(unexplained);
}

TEST_CASE("some corners, each with a mass of its own, are judged as far as they go", "[corner check]") {
    const CornerScale scale = vehicle_scale(4);
    CornerReadings readings(8);
    REQUIRE(readings.add_empty(20.0) == CornerError::none);
    REQUIRE(readings.add_loaded(0, 5000.0, 5020.0) == CornerError::none);
    REQUIRE(readings.add_loaded(3, 8000.0, -7980.0) == CornerError::none);
    REQUIRE(readings.add_loaded(6, 10000.0, 10020.0) == CornerError::none);
    const CornerReport report = judge(scale, readings);
    CHECK(report.count == 1);
    CHECK(found(report, 3, {Kind::reversed_cell}) != nullptr);
    CHECK(report.unread == 0b10110110);
    // On a limp deck no other corner tells of a cell.
    CHECK(report.unjudged == report.unread);

    CornerReadings sound(8);
    REQUIRE(sound.add_empty(0.0) == CornerError::none);
    REQUIRE(sound.add_loaded(0, 5000.0, 5000.0) == CornerError::none);
    REQUIRE(sound.add_loaded(3, 8000.0, 8000.0) == CornerError::none);
    const CornerReport little = judge(scale, sound);
    CHECK(little.count == 0);
    CHECK(little.verdict == CornerVerdict::too_little);

    // On a rigid plate three corners tell of the fourth.
    const CornerScale rigid = vehicle_scale(2, 1.0e14);
    CornerReadings three(4);
    REQUIRE(three.add_empty(0.0) == CornerError::none);
    for (int i = 0; i < 3; ++i) {
        REQUIRE(three.add_loaded(i, mass_kg, mass_kg * (1.0 - 2.0 * rigid_share(i - 3))) ==
                CornerError::none);
    }
    const CornerReport fourth = judge(rigid, three);
    CHECK(fourth.unread == 0b1000);
    CHECK(found(fourth, 3, {Kind::reversed_cell}) != nullptr);
}

TEST_CASE("one corner alone tells nothing of itself, but a negative one of something", "[corner check]") {
    const CornerScale scale = vehicle_scale(4);
    CornerReadings one(8);
    REQUIRE(one.add_empty(0.0) == CornerError::none);
    REQUIRE(one.add_loaded(2, mass_kg, mass_kg) == CornerError::none);
    CHECK(judge(scale, one).verdict == CornerVerdict::too_little);
    CHECK(judge(scale, one).unjudged == 0xff);
    CornerReadings negative(8);
    REQUIRE(negative.add_empty(0.0) == CornerError::none);
    REQUIRE(negative.add_loaded(2, mass_kg, -mass_kg) == CornerError::none);
    CHECK(judge(scale, negative).verdict == CornerVerdict::not_alike);
}

TEST_CASE("every wrong input is an error of its own", "[corner check]") {
    const double not_a_number = std::numeric_limits<double>::quiet_NaN();
    CornerReadings readings(8);
    CHECK(readings.add_empty(not_a_number) == CornerError::bad_value);
    CHECK(readings.add_loaded(8, mass_kg, mass_kg) == CornerError::no_such_support);
    CHECK(readings.add_loaded(-1, mass_kg, mass_kg) == CornerError::no_such_support);
    CHECK(readings.add_loaded(0, 0.0, mass_kg) == CornerError::bad_mass);
    CHECK(readings.add_loaded(0, not_a_number, mass_kg) == CornerError::bad_mass);
    CHECK(readings.add_loaded(0, mass_kg, not_a_number) == CornerError::bad_value);
    CHECK(readings.add_unloading(0, mass_kg, mass_kg, 1.0) == CornerError::bad_mass);
    CHECK(readings.corner(0).mass_kg == 0.0);
    CHECK(judge(vehicle_scale(4), readings).error == CornerError::no_corner_reading);
    CHECK(readings.add_loaded(0, mass_kg, mass_kg) == CornerError::none);
    CHECK(readings.add_loaded(0, 2.0 * mass_kg, mass_kg) == CornerError::other_mass);

    CHECK(judge(vehicle_scale(4), readings).error == CornerError::no_empty_reading);
    CornerReadings just_zeroed(8, Zeroed::now);
    CHECK(just_zeroed.add_loaded(0, mass_kg, mass_kg) == CornerError::none);
    CHECK(judge(vehicle_scale(4), just_zeroed).error == CornerError::none);
    CHECK(judge(vehicle_scale(3), readings).error == CornerError::no_such_support);

    ChannelReadings channels(8);
    CHECK(channels.add_empty(8, 0.0) == CornerError::no_such_support);
    CHECK(channels.add_loaded(0, mass_kg, 9, 0.0) == CornerError::no_such_support);
    CHECK(channels.add_loaded(0, -1.0, 0, 0.0) == CornerError::bad_mass);
    CHECK(channels.add_loaded(0, mass_kg, 0, not_a_number) == CornerError::bad_value);
    CHECK(channels.add_loaded(0, mass_kg, 0, 0.0) == CornerError::none);
    CHECK(channels.add_loaded(0, 0.5 * mass_kg, 1, 0.0) == CornerError::other_mass);
    const ChannelReadings few(6);
    CHECK(judge(vehicle_scale(4), just_zeroed, &few).error == CornerError::no_such_support);

    CornerScale scale = vehicle_scale(4);
    scale.deck.sections = 1;
    CHECK(judge(scale, readings).error == CornerError::no_scale);
    scale.deck.sections = 9;
    CHECK(judge(scale, readings).error == CornerError::no_scale);
    scale = vehicle_scale(4);
    scale.deck.section_x_m[2] = scale.deck.section_x_m[1];
    CHECK(judge(scale, just_zeroed).error == CornerError::no_scale);
    scale = vehicle_scale(4);
    scale.support_stiffness_N_per_m = 0.0;
    CHECK(judge(scale, just_zeroed).error == CornerError::no_scale);

    scale = vehicle_scale(4);
    scale.resolution_kg = scale.repeatability_kg = 0.0;
    scale.gain.fill(0.0);
    CHECK(judge(scale, round_of(scale, [](int) { return 1.0; })).error == CornerError::not_solvable);
}

TEST_CASE("the check fits a small box", "[corner check]") {
    // 16 KiB of RAM in all: half of that for everything the check needs beside its stack.
    CHECK(sizeof(CornerCheck) + sizeof(CornerScale) + sizeof(CornerReadings) <= 9216);
    CHECK(sizeof(ChannelReadings) <= 1536);
}

TEST_CASE("errors and findings have words", "[corner check]") {
    for (int e = 0; e <= static_cast<int>(CornerError::not_solvable); ++e) {
        CHECK(text_of(static_cast<CornerError>(e))[0] != '\0');
    }
    for (int k = 0; k <= static_cast<int>(Kind::unexplained); ++k) {
        CHECK(text_of(static_cast<Kind>(k))[0] != '\0');
    }
}
