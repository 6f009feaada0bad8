#pragma once

#include <string>

#include "firmware/scale/description.h"

/// Numbers as people read them.
namespace cornerbench::report {

/// `value` with `decimals` places and its thousands set apart: "10 000", "-9 960.5". Never "-0".
std::string grouped(double value, int decimals = 0);

/// The same with a sign in front of everything but zero: "+40", "0", "-20".
std::string signed_grouped(double value, int decimals = 0);

/// Up to `figures` significant figures, thousands set apart, no zeros behind: "0.02", "38", "1 200 000".
std::string figures(double value, int figures = 3);

/// `share` in per cent: "91 %", and "below 0.1 %" or "above 99.9 %" where a round number would claim more.
std::string percent(double share);

/// A cause's probability: the same, and never quite 0 or 100 %.
std::string probability_words(double probability);

/// Masses of one scale in its own unit, with the places that its division needs.
class MassWords {
  public:
    explicit MassWords(const scale::Description& description);

    /// "9 980", without the unit.
    std::string number(double kg) const;
    /// "+20", without the unit.
    std::string difference(double kg) const;
    /// "9 980 kg".
    std::string with_unit(double kg) const;
    /// Mass in the unit, as JSON has it: no more places than the division needs, or three beyond.
    double in_unit(double kg) const;
    /// Error in divisions, one place: "-0.5 d".
    std::string divisions(double kg) const;

    /// "60 000 kg" and "20 kg"; on a multi-interval scale "30 000/60 000 kg" and "10/20 kg".
    const std::string& max_words() const { return max_words_; }
    const std::string& division_words() const { return division_words_; }

    double division_kg() const { return division_kg_; }
    const std::string& unit() const { return unit_; }
    int decimals() const { return decimals_; }

  private:
    double unit_kg_ = 1.0;
    double division_kg_ = 1.0;
    int decimals_ = 0;
    std::string unit_;
    std::string max_words_;
    std::string division_words_;
};

}  // namespace cornerbench::report
