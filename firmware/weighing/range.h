#pragma once

/// Where an indicator stops showing a weight.
namespace cornerbench::weighing {

/// A gross weight above Max (1 + over_share) + over_divisions d, or below -under_divisions d, is not shown.
struct RangeSettings {
    double over_divisions = 9.0;    ///< OIML R 76-1:2006, 4.2.3: nothing above Max + 9 e (from memory)
    double over_share = 0.0;        ///< NIST Handbook 44, 2.20, S.1.7: 105 % of capacity, 0.05 here
    double under_divisions = 20.0;  ///< common practice, no source
};

/// Where a gross weight lies; only `within` is shown.
enum class RangeState : unsigned char { within, over, under, no_number };

/// State of the gross weight as it would be shown, past the zero and rounded. `division_kg` is the one at Max
/// on a multi-interval scale. A net weight has no range of its own.
RangeState range_of(double shown_gross_kg, double max_kg, double division_kg, const RangeSettings& settings);

}  // namespace cornerbench::weighing
