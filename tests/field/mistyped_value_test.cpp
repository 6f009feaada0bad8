#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <set>

#include "sim/field/fault_effect.h"
#include "sim/field/mistyped_value.h"
#include "sim/field/trial.h"
#include "tests/field/field_scales.h"

using namespace cornerbench;
using namespace cornerbench::field;
using scale::Cause;

TEST_CASE("One value is mistyped, plainly, and the same one for the same seed", "[field]") {
    const scale::Description d = stiff_eight();
    std::set<int> readings;
    int tenfold = 0;
    int sign = 0;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const SimulatedSheet sheet = simulate_sheet(d, {}, seed);
        std::vector<diagnosis::Reading> typed = sheet.readings;
        const auto which = mistype_one(d, sheet.sheet(), seed, typed);
        REQUIRE(which.has_value());
        readings.insert(*which);
        std::vector<diagnosis::Reading> again = sheet.readings;
        CHECK(mistype_one(d, sheet.sheet(), seed, again) == which);
        for (std::size_t i = 0; i < typed.size(); ++i) {
            CHECK(again[i].value == typed[i].value);
            if (static_cast<int>(i) != *which) {
                CHECK(typed[i].value == sheet.readings[i].value);
                continue;
            }
            const double was = sheet.readings[i].value;
            CHECK(typed[i].value != was);
            tenfold += typed[i].value == 10.0 * was || typed[i].value == 0.1 * was ? 1 : 0;
            sign += typed[i].value == -was && was != 0.0 ? 1 : 0;
        }
    }
    CHECK(readings.size() > 10);
    CHECK(tenfold > 0);
    CHECK(sign > 0);
    CHECK(tenfold + sign < 40);
}

TEST_CASE(
    "An effect is nothing without a fault, more with more of it, and without end where nothing is shown",
    "[field]") {
    const scale::Description d = stiff_eight();
    CHECK(largest_effect(d, {}, 3, {}) == 0.0);
    scale::Fault weak;
    weak.cause = Cause::weak_output;
    weak.site = scale::site_at(d, Cause::weak_output, 4);
    double before = 0.0;
    for (const double ratio : {0.9999, 0.99, 0.9, 0.5}) {
        weak.magnitude[0] = ratio;
        const double effect = largest_effect(d, weak, 3, {});
        CHECK(effect > before);
        before = effect;
    }
    CHECK(before > plain_effect);
    // A sense wire that is open without a fallback leaves the converter without its reference.
    scale::Description bare = d;
    bare.sense_fallback_ohm = 0.0;
    scale::Fault open;
    open.cause = Cause::sense_open;
    open.variant = scale::variant_at(bare, Cause::sense_open, 0);
    CHECK(largest_effect(bare, open, 3, {}) == std::numeric_limits<double>::infinity());
}

TEST_CASE("Columns of a trial count what they are called", "[field]") {
    SheetOutcome right;
    right.answered = true;
    right.truth = right.first = Cause::weak_output;
    right.rank = 0;
    right.in_top_group = true;
    right.group_size = 9;
    right.plain = true;
    SheetOutcome in_group = right;
    in_group.rank = 2;
    in_group.group_size = small_group;
    in_group.wild = in_group.wild_named = in_group.right_as_read = true;
    SheetOutcome in_crowd = in_group;
    in_crowd.group_size = small_group + 1;
    in_crowd.wild_named = false;
    SheetOutcome missed = in_crowd;
    missed.first = Cause::healthy;
    missed.in_top_group = false;
    missed.wild_named = true;
    SheetOutcome sound;
    sound.answered = true;
    sound.rank = 0;
    const Trial trial = tally(std::vector{right, in_group, in_crowd, missed, sound});
    CHECK(trial.faults == 4);
    CHECK(trial.misses == 1);
    CHECK(trial.plain == 4);
    CHECK(trial.plain_answers == 2);
    CHECK(trial.wild == 3);
    CHECK(trial.wild_named == 2);
    CHECK(trial.wild_answers == 1);
    CHECK(trial.right_as_read == 3);
    CHECK(trial.still_right == 1);
}
