#include "sim/live/controls.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <map>

#include "tests/live/live_bench.h"

using namespace cornerbench;
using namespace cornerbench::live;
using namespace cornerbench::live::testing;

namespace {

/// The last thing that happened.
std::string last(Yard& yard) {
    const std::vector<Happening> happenings = yard.take_happenings();
    return happenings.empty() ? std::string() : happenings.back().text;
}

}  // namespace

TEST_CASE("keys come out of a terminal's bytes", "[live]") {
    using Kind = KeyStroke::Kind;
    const auto kinds = [](std::string_view bytes) {
        std::vector<Kind> found;
        for (const KeyStroke& stroke : KeyReader().read(bytes)) found.push_back(stroke.kind);
        return found;
    };
    CHECK(kinds("a\r\n\x7f") == std::vector{Kind::character, Kind::enter, Kind::enter, Kind::backspace});
    CHECK(kinds("\x1b[A\x1b[B\x1bOC\x1b[D") == std::vector{Kind::up, Kind::down, Kind::right, Kind::left});
    // A key that is not known presses nothing by its last letter.
    CHECK(kinds("\x1b[15~\x1b[1;5q") == std::vector{Kind::other, Kind::other});
    CHECK(kinds("\x1b") == std::vector{Kind::escape});
    CHECK(kinds("\x1bq") == std::vector{Kind::escape, Kind::character});
    KeyReader cut;
    CHECK(cut.read("\x1b[").empty());
    CHECK(cut.read("A").at(0).kind == Kind::up);
}

TEST_CASE("the support for the next weight is chosen by its number or by arrows", "[live]") {
    LiveBench bench("elevator-10");
    Controls& keys = bench.live().controls();
    CHECK(keys.legend()[0].starts_with("1-9, 00 (10), arrows support"));
    keys.take("7");
    CHECK(keys.support() == 6);
    keys.take("00");
    CHECK(keys.support() == 9);
    keys.take("\x1b[B");
    CHECK(keys.support() == 0);
    keys.take("\x1b[A");
    CHECK(keys.support() == 9);
    keys.take("01");
    CHECK(keys.support() == 9);
    CHECK(last(bench.yard()) == "there is no support 11; valid: 1 to 10");
    keys.take("0w3");
    CHECK(keys.support() == 2);
    CHECK(bench.yard().weight_over(9));
}

TEST_CASE("every key does what the legend says", "[live]") {
    LiveBench bench("quarry-8", 200.0);
    Controls& keys = bench.live().controls();
    Yard& yard = bench.yard();
    keys.take("3w");
    CHECK(last(yard) == "8 580 kg put over support 3");
    bench.pass(4.0);
    keys.take("p");
    bench.pass(0.1);
    CHECK(last(yard) == "printed no. 1: " + yard.shown() + "; truly on the deck 8 580 kg");
    keys.take("t");
    bench.pass(0.1);
    CHECK(last(yard) == "tare: done");
    keys.take("c");
    bench.pass(0.1);
    CHECK(last(yard) == "clear tare: done");
    keys.take("z");
    bench.pass(0.1);
    CHECK(last(yard) == "zero: out of range");
    keys.take("u");
    bench.pass(0.5);
    CHECK(yard.shown().starts_with("8."));
    CHECK(yard.shown().ends_with(" t"));
    keys.take("uu");
    bench.pass(0.5);
    keys.take("w");
    CHECK(last(yard) == "8 580 kg taken off support 3");
    bench.pass(4.0);
    keys.take("v");
    CHECK(last(yard) == "three-axle truck of 26 000 kg drives on");
    const auto stands = [&] {
        const weighing::Readout& readout = bench.indicator().readout();
        return readout.has_weight() && readout.stable && std::fabs(readout.gross_kg - 26'000.0) < 60.0;
    };
    REQUIRE(bench.pump(stands));
    keys.take("v");
    CHECK(last(yard) == "three-axle truck drives off");
    REQUIRE(bench.pump([&] { return !yard.vehicle_there(); }));
    keys.take("s");
    CHECK(yard.seal_open());
    keys.take("s");
    CHECK_FALSE(yard.seal_open());
    keys.take("o");
    CHECK(yard.shown() == "dark");
    keys.take("ztcpu");
    keys.take("o");
    bench.pass(5.0);
    CHECK(yard.shown() == "0 kg");
    CHECK_FALSE(keys.wants_to_quit());
    keys.take("q");
    CHECK(keys.wants_to_quit());
}

TEST_CASE("a fault is written, taken from the suggestions or left, and mended", "[live]") {
    LiveBench bench;
    Controls& keys = bench.live().controls();
    Yard& yard = bench.yard();
    keys.take("fweak-output cell=5 ratio=0.8\n");
    CHECK(last(yard) == "fault: weak-output cell=5 ratio=0.8");
    // While words are written no letter is a key.
    keys.take("fq");
    CHECK(keys.writing());
    CHECK_FALSE(keys.wants_to_quit());
    keys.take("\x1b");
    CHECK_FALSE(keys.writing());
    keys.take("fweak-outputt cell=5\x7f\n");
    CHECK(last(yard).starts_with("no fault: "));
    CHECK(yard.faults().size() == 1);

    // Every suggestion is a fault that this scale can have.
    keys.take("5f");
    const std::string first = keys.words();
    int count = 0;
    do {
        INFO(keys.words());
        const std::size_t before = yard.faults().size();
        keys.take("\n");
        CHECK(yard.faults().size() == before + 1);
        keys.take("m");
        CHECK(yard.faults().empty());
        keys.take("f\x1b[B");
        ++count;
    } while (keys.words() != first && count < 100);
    CHECK(count >= 15);
    keys.take("\x1b");
    keys.take("m");
    CHECK(last(yard) == "nothing to mend");
}

TEST_CASE("what can go wrong between converter and firmware is a fault like any other", "[live]") {
    // In the words of a session file, beside what the firmware has to make of each.
    const std::map<std::string, std::string> shown{{"frames lost", "no new samples"},
                                                   {"saturated", "signal out of range"},
                                                   {"reference missing", "reference missing"},
                                                   {"transfer failed", "converter error"},
                                                   {"stuck", "signal stuck"},
                                                   {"bit flipped", "samples damaged"}};
    for (const auto& [fault, why] : shown) {
        INFO(fault);
        LiveBench bench("quarry-8", 200.0);
        bench.live().controls().take("f" + fault + "\n");
        CHECK(last(bench.yard()) == "fault: " + fault);
        bench.pass(3.0);
        CHECK(bench.yard().shown() == why);
        bench.live().controls().take("m");
        bench.pass(5.0);
        CHECK(bench.yard().shown() == "0 kg");
    }
}

TEST_CASE("another vehicle drives on when one is given", "[live]") {
    LiveBench bench("quarry-8", 200.0);
    files::Vehicle cart;
    cart.name = "cart";
    cart.axles = {{1000.0, 0.0}, {1000.0, 2.0}};
    bench.yard().use_vehicle(cart);
    bench.live().controls().take("v");
    CHECK(last(bench.yard()) == "cart of 2 000 kg drives on");
    CHECK(bench.yard().load_words() == "cart");
    REQUIRE(bench.pump([&] { return bench.yard().shown() == "2000 kg"; }));
}

TEST_CASE("a corner round is given up when its weights are disturbed", "[live]") {
    LiveBench bench("quarry-8", 100.0);
    Controls& keys = bench.live().controls();
    keys.take("r");
    REQUIRE(bench.pump([&] { return bench.yard().load_words().starts_with("weight over"); }));
    keys.take("w");
    CHECK(last(bench.yard()) == "corner round given up: stopped");
    CHECK(bench.yard().load_words() == "empty");
    keys.take("r");
    bench.pass(1.0);
    keys.take("oo");
    bench.pass(3.0);
    CHECK(last(bench.yard()) == "corner round given up: the box has started anew");
}
