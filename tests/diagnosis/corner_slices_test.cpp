#include <algorithm>
#include <catch2/catch.hpp>

#include "firmware/diagnosis/corner_round.h"
#include "tests/diagnosis/corner_cases.h"

using namespace cornerbench;
using namespace cornerbench::diagnosis;
using namespace cornerbench::oracle;

// That work done in slices comes to the same follows from its being the same work: nothing outside the
// project states it. How much a slice takes is held to a budget on a microcontroller,
// tests/target/budgets.txt.

namespace {

/// Support 2 rubs: what it lacks differs from place to place, and more than one place comes near.
double rubbing_share(int support) {
    return support == 2 ? 0.97 : support == 1 || support == 3 ? 0.995 : 1.0;
}

bool same(const CornerReport& a, const CornerReport& b) {
    bool alike = a.error == b.error && a.verdict == b.verdict && a.count == b.count && a.unread == b.unread &&
                 a.unjudged == b.unjudged && a.common.value == b.common.value;
    for (unsigned i = 0; i < static_cast<unsigned>(a.count); ++i)
        alike = alike && a.findings[i].kind == b.findings[i].kind &&
                a.findings[i].place == b.findings[i].place &&
                a.findings[i].size.value == b.findings[i].size.value &&
                a.findings[i].log_odds == b.findings[i].log_odds;
    return alike;
}

CornerError add_round(CornerRound& round, int supports, double (*share)(int)) {
    CornerError error = round.add_empty(0.0, {});
    for (int i = 0; i < supports && error == CornerError::none; ++i)
        error = round.add_loaded(i, mass_kg, mass_kg * share(i), {});
    return error;
}

}  // namespace

TEST_CASE("a round judged in slices says until it is done that it is working, and then the same as at once",
          "[corner check]") {
    int most_slices = 0;
    for (const int sections : {2, 4, 8}) {
        const CornerScale scale = vehicle_scale(sections);
        CornerRound round(scale, 1);
        CHECK(round.report().error == CornerError::no_corner_reading);
        REQUIRE(add_round(round, scale.supports(), rubbing_share) == CornerError::none);
        int slices = 0;
        while (round.report().error == CornerError::working && slices < 100'000) {
            CHECK(round.report().count == 0);
            round.step();
            ++slices;
        }
        CHECK(slices > 10);
        CHECK(slices < 1500);
        most_slices = std::max(most_slices, slices);
        const CornerReport at_once = judge(scale, [&] {
            CornerReadings readings(scale.supports(), Zeroed::before);
            REQUIRE(readings.add_empty(0.0) == CornerError::none);
            for (int i = 0; i < scale.supports(); ++i)
                REQUIRE(readings.add_loaded(i, mass_kg, mass_kg * rubbing_share(i)) == CornerError::none);
            return readings;
        }());
        CHECK(at_once.count > 0);
        CHECK(same(round.report(), at_once));
        round.step();
        CHECK(same(round.report(), at_once));
    }
    CHECK(most_slices > 100);
}

TEST_CASE("a reading that is added while a round is judged begins the judging anew", "[corner check]") {
    const CornerScale scale = vehicle_scale(4);
    CornerRound round(scale, 1);
    REQUIRE(add_round(round, 7, rubbing_share) == CornerError::none);
    for (int i = 0; i < 50; ++i) round.step();
    CHECK(round.report().error == CornerError::working);
    REQUIRE(round.add_loaded(7, mass_kg, mass_kg, {}) == CornerError::none);
    while (round.report().error == CornerError::working) round.step();
    CHECK(round.report().unread == 0);

    CornerRound other(scale, 1);
    REQUIRE(add_round(other, 8, rubbing_share) == CornerError::none);
    while (other.report().error == CornerError::working) other.step();
    CHECK(same(round.report(), other.report()));
    other.forget();
    CHECK(other.report().error == CornerError::no_corner_reading);
}
