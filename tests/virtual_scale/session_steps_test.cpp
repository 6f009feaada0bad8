#include <catch2/catch.hpp>
#include <string>

#include "tests/virtual_scale/yard_session.h"

using namespace cornerbench;
using namespace cornerbench::tests;

TEST_CASE("a key that the indicator refuses stands in the record as refused, with its reason", "[virtual]") {
    // The zero-setting device works within 4 % of Max (OIML R 76-1:2006, 4.5.1; from memory).
    const Yard yard("quarry-8");
    SECTION("zero with far more than its range on the deck") {
        Steps steps;
        steps.put(59'000.0);
        steps.add(Deed::settle);
        steps.press("zero");
        const SessionRecord record = yard.run(steps.session);
        CHECK(record.events.back().refused);
        CHECK(record.events.back().result == "refused, out of range: 59 000 kg");
        CHECK_FALSE(record.well);
    }
    SECTION("tare while the load is still coming") {
        Steps steps;
        steps.add(Deed::settle);
        steps.add(Deed::drive_on).vehicles = yard.shipped("quarry-morning").steps[2].vehicles;
        steps.add(Deed::wait).seconds = 9.0;
        steps.press("tare");
        const SessionRecord record = yard.run(steps.session);
        CHECK(record.events.back().refused);
        CHECK(record.events.back().result.starts_with("refused, not stable: "));
    }
    SECTION("zero without a weight") {
        Steps steps;
        steps.add(Deed::cause).cause_words = "signal-pair-swapped cell=3";
        steps.add(Deed::put).load.load.count = 1;
        steps.session.steps.back().load.load.standing[0] = {20'000.0, 12.0, 2.6};
        steps.add(Deed::wait).seconds = 10.0;
        steps.press("zero");
        const SessionRecord record = yard.run(steps.session);
        CHECK(record.events.back().refused);
        CHECK(record.events.back().result == "refused, out of range: under range");
    }
    SECTION("but not where it is done") {
        Steps steps;
        steps.add(Deed::settle);
        for (const char* key : {"zero", "clear", "unit"}) steps.press(key);
        const SessionRecord record = yard.run(steps.session);
        for (const auto& event : record.events) CHECK_FALSE(event.refused);
        CHECK(record.well);
    }
}

TEST_CASE("what stands beside a step is what the panel shows: net and in its unit", "[virtual]") {
    const Yard yard("quarry-8");
    Steps steps;
    steps.add(Deed::settle);
    steps.put(10'000.0);
    steps.add(Deed::settle);
    steps.press("tare");
    steps.press("unit");
    steps.press("clear");
    const SessionRecord record = yard.run(steps.session);
    REQUIRE(record.events.size() == 6);
    CHECK(record.events[2].result == "10 000 kg");
    CHECK(record.events[3].result == "0 kg net");
    CHECK(record.events[4].result == "0.00 t net");
    CHECK(record.events[5].result == "10.00 t");
    CHECK(record.trace.back().shown_kg == Approx(10'000.0));
}

TEST_CASE("a corner round says that it presses zero, and whether that was refused", "[virtual]") {
    const Yard yard("quarry-8");
    for (const bool refused : {false, true}) {
        Steps steps;
        if (refused) steps.put(20'000.0);
        steps.add(Deed::settle);
        steps.add(Deed::corner_round).mass_kg = 10'000.0;
        const SessionRecord record = yard.run(steps.session);
        const auto& zero = record.events[refused ? 2 : 1];
        CHECK(zero.done == "corner round: readings cleared, zero key");
        CHECK(zero.refused == refused);
        CHECK(zero.result == (refused ? "refused, out of range: 20 000 kg" : "0 kg"));
    }
}

TEST_CASE("a corner round on a box that cannot weigh stops at once with the reason", "[virtual]") {
    const Yard yard("harbour-8");
    Steps steps;
    steps.add(Deed::cause).cause_words = "open-wire cell=3 wire=S-";
    steps.add(Deed::corner_round).mass_kg = 10'000.0;
    const SessionRecord record = yard.run(steps.session);
    CHECK(record.events.back().refused);
    CHECK(record.events.back().result == "stopped: signal out of range, cell 3");
    CHECK(record.corner_check.empty());
    CHECK_FALSE(record.well);
    CHECK(record.seconds < 15.0);
}
