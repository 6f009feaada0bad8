#include <catch2/catch.hpp>

#include "sim/report/next_report.h"

using namespace cornerbench;

TEST_CASE("A weight that a check may read is in the unit that stands beside it", "[report]") {
    // Reference: the international avoirdupois pound, 0.45359237 kg exactly (NIST SP 811 (2008), appendix
    // B.8); 1 t is 1000 kg (SI Brochure, 9th edition, table 8).
    const auto [unit, words, kg] = GENERATE(table<scale::MassUnit, std::string, double>({
        {scale::MassUnit::kilogram, "kg", 1.0},
        {scale::MassUnit::tonne, "t", 1000.0},
        {scale::MassUnit::pound, "lb", 0.45359237},
    }));
    scale::Description d;
    d.division_kg = 20.0;
    d.unit = unit;
    field::NextCheck check;
    check.reading.quantity = diagnosis::Quantity::weight;
    field::CheckOutcome outcome;
    outcome.low = 9'980.0;
    outcome.high = 10'020.0;
    check.outcomes.push_back(outcome);
    const report::Json json = report::outcomes_json(check, d);
    CHECK(json[0]["unit"] == words);
    CHECK(json[0]["low"].get<double>() * kg == Approx(9'980.0).epsilon(1.0e-5));
    CHECK(json[0]["high"].get<double>() * kg == Approx(10'020.0).epsilon(1.0e-5));
}
