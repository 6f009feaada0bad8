#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "tests/virtual_scale/yard_session.h"

using namespace cornerbench;
using tests::Deed;
using tests::SessionRecord;
using tests::Steps;
using tests::Yard;
using weighing::NoWeight;

// What one cell of many does while the sum looks well. Truth is the world's; that a load weighs what it
// weighs is the oracle.

namespace {

void put_over(Steps& steps, const Yard& yard, double kg, int support) {
    const scale::Deck& deck = yard.scale.description.deck;
    const bool far = support < deck.sections;
    const int section = far ? support : 2 * deck.sections - 1 - support;
    files::Step& step = steps.add(Deed::put);
    step.load.load.count = 1;
    step.load.load.standing[0] = {kg, deck.section_x_m[static_cast<std::size_t>(section)],
                                  far ? deck.width_m : 0.0};
    step.load.text = "a load";
}

}  // namespace

TEST_CASE("one overloaded cell is stated where the sum cannot see it, and refused where a channel can",
          "[virtual]") {
    for (const std::string name : {"quarry-8", "harbour-8"}) {
        INFO(name);
        const Yard yard(name);
        const double capacity_kg = yard.scale.description.cells[0].capacity_kg;
        Steps steps;
        steps.add(Deed::settle);
        put_over(steps, yard, 0.6 * capacity_kg, 0);
        steps.add(Deed::settle);
        steps.add(Deed::print);
        steps.add(Deed::take_off);
        put_over(steps, yard, 1.4 * capacity_kg, 0);
        steps.add(Deed::wait).seconds = 5.0;
        steps.add(Deed::print);
        const SessionRecord record = yard.run(steps.session);
        const bool summed = yard.scale.description.converter == scale::Converter::summed;
        CHECK(record.most_share[0] > 1.0);
        for (std::size_t i = 1; i < record.most_share.size(); ++i) CHECK(record.most_share[i] < 1.0);
        CHECK(record.trace.back().over_capacity == 1u);
        REQUIRE(record.tickets.size() == (summed ? 2 : 1));
        CHECK(record.tickets[0].over_capacity == 0u);
        if (summed) {
            CHECK(record.tickets[1].over_capacity == 1u);
            CHECK(record.trace.back().shows_weight());
        } else {
            CHECK(record.trace.back().why == NoWeight::cell_overloaded);
            CHECK(record.events.back().result.find("cell over capacity, cell 1") != std::string::npos);
        }
        const report::MassWords words(yard.scale.description);
        std::ostringstream table;
        report::print_session(table, record, words, report::Style{});
        CHECK(table.str().find("cell 1 over its capacity") != std::string::npos);
        std::ostringstream csv;
        report::print_session_csv(csv, record, words);
        CHECK(csv.str().find(",1\r\n") != std::string::npos);
        std::ostringstream json;
        report::print_session_json(json, record, words);
        const auto document = nlohmann::json::parse(json.str());
        REQUIRE(document["over_capacity"].size() == 1);
        CHECK(document["over_capacity"][0]["cell"] == 1);
        CHECK(document["tickets"].back()["over_capacity"].size() == (summed ? 1 : 0));
    }
}

TEST_CASE("a channel that goes dead under a load is noticed by its dead load, also after a power cut",
          "[virtual]") {
    const Yard yard("harbour-8");
    for (const bool cut : {false, true}) {
        INFO((cut ? "with" : "without") << " a power cut");
        Steps steps;
        steps.add(Deed::settle);
        put_over(steps, yard, 8'000.0, 1);
        steps.add(Deed::settle);
        steps.add(Deed::print);
        // The signal pair shorted reads nothing: not below what an unloaded cell gives.
        steps.add(Deed::cause).cause_words = "shorted-wires cell=5 wires=S+,S-";
        if (cut) steps.add(Deed::power_cut).seconds = 3.0;
        steps.add(Deed::wait).seconds = 8.0;
        steps.add(Deed::mend);
        steps.add(Deed::settle);
        steps.add(Deed::print);
        const SessionRecord record = yard.run(steps.session);
        REQUIRE(record.tickets.size() == 2);
        CHECK(record.tickets[0].within());
        CHECK(record.tickets[1].within());
        const auto flagged = std::count_if(record.trace.begin(), record.trace.end(), [](const auto& point) {
            return point.why == NoWeight::cell_unloaded;
        });
        CHECK(flagged > 50);
        // While the channel was dead no weight was shown at rest; in the first filter's length it moves.
        for (const auto& point : record.trace) {
            if (point.shows_weight() && point.stable)
                CHECK(std::fabs(point.shown_kg - point.true_kg) < 100.0);
        }
    }
}

TEST_CASE("a cell that was named on the empty deck is not hidden by the next truck, nor by a power cut",
          "[virtual]") {
    // Of a truck a dead cell's share is missing: the heavier it is, the less it looks like a loss.
    const Yard yard("harbour-8");
    for (const std::string cause : {"open-wire cell=3 wire=all", "shorted-wires cell=3 wires=S+,S-",
                                    "weak-output cell=3 ratio=0.1", "weak-output cell=3 ratio=0.3"}) {
        for (const bool cut : {false, true}) {
            INFO(cause << (cut ? " with" : " without") << " a power cut");
            Steps steps;
            steps.add(Deed::settle);
            steps.add(Deed::cause).cause_words = cause;
            steps.add(Deed::wait).seconds = 8.0;
            if (cut) steps.add(Deed::power_cut).seconds = 3.0;
            for (const int support : {0, 2, 5}) {
                put_over(steps, yard, 20'000.0, support);
                steps.add(Deed::wait).seconds = 8.0;
                steps.add(Deed::print);
                steps.add(Deed::take_off);
            }
            steps.add(Deed::mend);
            steps.add(Deed::wait).seconds = 8.0;
            steps.press("zero");
            put_over(steps, yard, 20'000.0, 2);
            steps.add(Deed::settle);
            steps.add(Deed::print);
            const SessionRecord record = yard.run(steps.session);
            REQUIRE(record.tickets.size() == 1);
            CHECK(record.tickets[0].within());
            // Not in the tenths of a second in which a load comes on and the filter has yet to hear of it.
            double true_kg = 0.0;
            for (const auto& point : record.trace) {
                const bool at_rest = point.true_kg == true_kg;
                true_kg = point.true_kg;
                if (at_rest && point.shows_weight() && point.stable)
                    CHECK(std::fabs(point.shown_kg - point.true_kg) < 100.0);
            }
        }
    }
}

TEST_CASE("a load anywhere on a sound deck takes no cell for dead", "[virtual]") {
    const Yard yard("harbour-8");
    const scale::Description& d = yard.scale.description;
    Steps steps;
    steps.add(Deed::settle);
    // Up to what a cell can carry, at every support and at both ends of the overhang.
    for (int support = 0; support < d.cell_count(); ++support) {
        put_over(steps, yard, 0.8 * d.cells[0].capacity_kg, support);
        steps.add(Deed::settle);
        steps.add(Deed::print);
        steps.add(Deed::take_off);
    }
    const SessionRecord record = yard.run(steps.session);
    CHECK(record.tickets.size() == static_cast<std::size_t>(d.cell_count()));
    CHECK(record.well);
    for (const auto& point : record.trace) CHECK(point.why != NoWeight::cell_unloaded);
}

TEST_CASE("a trim turned wrong in a box with factors is a wrong factor that it weighs by, until mended",
          "[virtual]") {
    const Yard yard("harbour-8");
    Steps steps;
    steps.add(Deed::settle);
    const auto weigh = [&] {
        put_over(steps, yard, 20'000.0, 2);
        steps.add(Deed::settle);
        steps.add(Deed::print);
        steps.add(Deed::take_off);
        steps.add(Deed::settle);
    };
    weigh();
    steps.add(Deed::cause).cause_words = "trim-off cell=3 gain=0.05";
    steps.add(Deed::wait).seconds = 5.0;
    steps.press("zero");
    weigh();
    steps.add(Deed::mend);
    steps.add(Deed::wait).seconds = 5.0;
    steps.press("zero");
    weigh();
    steps.add(Deed::cause).cause_words = "trim-off cell=3 gain=0.2";
    const SessionRecord record = yard.run(steps.session);
    REQUIRE(record.tickets.size() == 3);
    CHECK(record.tickets[0].within());
    // Cell 3 carries most of a load over it: 5 % of that.
    const double more_kg = record.tickets[1].gross_kg - record.tickets[0].gross_kg;
    CHECK(more_kg > 0.6 * 0.05 * 20'000.0);
    CHECK(more_kg < 1.1 * 0.05 * 20'000.0);
    CHECK(record.tickets[2].gross_kg == Approx(record.tickets[0].gross_kg).margin(20.0));
    CHECK(record.events.back().refused);
    CHECK(record.events.back().result.find("valid: 0.9 to 1.1") != std::string::npos);
}

TEST_CASE("a zero that was lost is lost still when power comes back to a truck", "[virtual]") {
    const Yard yard("quarry-8");
    Steps steps;
    steps.add(Deed::settle);
    steps.add(Deed::cause).cause_words = "weak-output cell=4 ratio=0.2";
    steps.add(Deed::wait).seconds = 5.0;
    steps.put(20'000.0);
    steps.add(Deed::wait).seconds = 5.0;
    steps.add(Deed::power_cut).seconds = 3.0;
    steps.add(Deed::wait).seconds = 8.0;
    steps.add(Deed::take_off);
    steps.add(Deed::corner_round).mass_kg = 8'000.0;
    const SessionRecord record = yard.run(steps.session);
    REQUIRE(record.events.size() > 6);
    CHECK(record.events[2].result == "under range");
    CHECK(record.events[4].result == "zero lost");
    CHECK(record.events[6].result == "zero lost");
    // A round needs differences alone: it finds the cell all the same.
    REQUIRE(record.corner_report);
    CHECK(record.corner_check.find("support 4") != std::string::npos);
    const report::MassWords words(yard.scale.description);
    std::ostringstream json;
    report::print_session_json(json, record, words);
    const auto check = nlohmann::json::parse(json.str())["corner_check"];
    CHECK(check["verdict"] == "not alike");
    CHECK(check["words"] == record.corner_check);
    REQUIRE(check["findings"].size() >= 1);
    CHECK(check["findings"][0]["kind"] == "carries-too-little");
    CHECK(check["findings"][0]["place"]["support"] == 4);
    CHECK(check["findings"][0]["size_of"] == "share_lost");
    CHECK(check["findings"][0]["size"].get<double>() == Approx(0.8).margin(0.1));
}
