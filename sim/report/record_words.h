#pragma once

#include <string>
#include <string_view>

#include "firmware/scale/description.h"
#include "sim/commissioning/survey.h"

/// Words and numbers of a test record in the unit that its reader asked for.
namespace cornerbench::report {

/// Masses with places for a tenth of the finest division.
class RecordMass {
  public:
    RecordMass(const scale::Description& description, scale::MassUnit unit);

    std::string number(double kg) const;
    std::string signed_number(double kg) const;
    std::string with_unit(double kg) const;
    const std::string& unit() const { return unit_; }

  private:
    double unit_kg_ = 1.0;
    int decimals_ = 0;
    std::string unit_;
};

/// "eccentricity, support 3", "weighing, decreasing".
std::string test_words_of(const files::TestLine& line);

/// "2026-11-29" or "not dated".
std::string date_words(const std::string& date);

/// A mark that reads in black and white beside a verdict: a tick, a cross, a question mark, a dash.
std::string_view mark_of(commissioning::Verdict verdict);

}  // namespace cornerbench::report
