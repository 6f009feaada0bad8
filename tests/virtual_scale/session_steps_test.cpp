#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
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

TEST_CASE("a step that cannot be done stands as refused, and is no reason to go on wrongly", "[virtual]") {
    const Yard yard("quarry-8");
    const auto truck = yard.shipped("quarry-morning").steps[2].vehicles;
    Steps steps;
    steps.add(Deed::settle);
    steps.add(Deed::drive_off);
    steps.add(Deed::take_off);
    steps.add(Deed::mend);
    for (int i = 0; i < 2; ++i) steps.add(Deed::drive_on).vehicles = truck;
    steps.add(Deed::settle).seconds = 60.0;
    steps.add(Deed::drive_off);
    steps.add(Deed::wait).seconds = 1.0;
    const SessionRecord record = yard.run(steps.session);
    REQUIRE(record.events.size() == 9);
    for (const std::size_t i : {1u, 2u, 3u, 5u}) {
        INFO(record.events[i].done);
        CHECK(record.events[i].refused);
        CHECK(record.events[i].result.starts_with("not done, "));
    }
    for (const std::size_t i : {0u, 4u, 6u, 7u, 8u}) CHECK_FALSE(record.events[i].refused);
    CHECK(record.trace.back().true_kg == Approx(0.0).margin(1.0e-6));
    CHECK_FALSE(record.well);
}

TEST_CASE("a cause that comes and goes is there and gone at its times", "[virtual]") {
    // An open signal wire saturates its channel. The filter is full again 0.21 s after a change (at most a
    // second with what the display adds): looked at behind it.
    const Yard yard("harbour-8");
    Steps steps;
    steps.add(Deed::settle);
    files::Step& cause = steps.add(Deed::cause);
    cause.cause_words = "open-wire cell=3 wire=S-";
    cause.on_s = 4.0;
    cause.off_s = 6.0;
    steps.add(Deed::wait).seconds = 40.0;
    const SessionRecord record = yard.run(steps.session);
    const double begin_s = record.events[1].t_s;
    int there = 0;
    int gone = 0;
    for (const auto& point : record.trace) {
        const double after_s = point.t_s - begin_s;
        if (after_s < 0.0) continue;
        const double within_s = std::fmod(after_s, 10.0);
        INFO(after_s);
        if (within_s > 0.5 && within_s < 3.9) {
            CHECK_FALSE(point.shows_weight());
            ++there;
        }
        if (within_s > 5.0 && within_s < 9.9) {
            CHECK(point.shows_weight());
            ++gone;
        }
    }
    CHECK(there > 100);
    CHECK(gone > 150);
}

TEST_CASE("a cause that wanders changes what is shown by and by, and a steady one does not", "[virtual]") {
    const Yard yard("quarry-8");
    const auto largest_change_kg = [&yard](double wander) {
        Steps steps;
        steps.put(30'000.0);
        files::Step& cause = steps.add(Deed::cause);
        cause.cause_words = "loose-terminal cell=6 wire=S+ ohm=40";
        cause.wander = wander;
        steps.add(Deed::wait).seconds = 600.0;
        const SessionRecord record = yard.run(steps.session);
        double low = 1.0e9;
        double high = 0.0;
        for (const auto& point : record.trace) {
            if (point.t_s < record.events[1].t_s + 10.0 || !point.stable) continue;
            low = std::min(low, point.shown_kg);
            high = std::max(high, point.shown_kg);
        }
        return high - low;
    };
    CHECK(largest_change_kg(0.0) <= 20.0);
    CHECK(largest_change_kg(1.5) > 60.0);
}
