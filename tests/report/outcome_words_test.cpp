#include <catch2/catch.hpp>

#include <array>

#include "sim/report/outcome_words.h"

using namespace cornerbench;

TEST_CASE("Outcomes that a reading cannot tell apart share a line, and no supply gives less than nothing",
          "[report]") {
    scale::Description d;
    d.max_kg = 60000.0;
    d.division_kg = 20.0;
    std::array<diagnosis::Candidate, 3> about{};
    about[0].probability = 0.5;
    about[1].fault.cause = scale::Cause::sense_open;
    about[1].probability = 0.2;
    about[2].fault.cause = scale::Cause::excitation_low;
    about[2].probability = 0.3;
    field::NextCheck check;
    check.reading.quantity = diagnosis::Quantity::excitation;
    check.expected = {10.0, 10.02, 0.5};
    check.deviation = {0.05, 0.05, 2.5};
    // The inner 90 % of a normal distribution is 1.645 standard deviations to either side.
    const auto lines = report::outcome_words(check, about, d, 4);
    REQUIRE(lines.size() == 2);
    CHECK(lines[0].starts_with("9.918 V to 10.102 V: healthy; sense-open"));
    CHECK(lines[1] == "0.000 V to 4.612 V: excitation-low");
    CHECK(report::outcome_words(check, about, d, 1).size() == 1);
}
