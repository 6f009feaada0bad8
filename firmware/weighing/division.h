#pragma once

#include <array>
#include <cstdint>

#include "firmware/scale/partial_range.h"
#include "firmware/scale/units.h"

/// From a weight to the digits shown: divisions, partial weighing ranges, units.
namespace cornerbench::weighing {

/// Whole divisions nearest to `weight`, in the unit of `division`; a value exactly halfway goes away from
/// zero, so that -x shows as x does. Saturates at 1e15 divisions; 0 for what is no number or no division.
std::int64_t whole_divisions(double weight, double division);

/// `weight_kg` rounded to the division.
double rounded_kg(double weight_kg, double division_kg);

/// A division as the standards have it: 1, 2 or 5 times a power of ten (OIML R 76-1:2006, 3.2; the clause
/// from memory), of whatever unit it is given in. Digits stay whole numbers, so that screens need no real
/// ones.
struct Division {
    int leading = 0;  ///< 1, 2 or 5; 0: no such division
    int exponent = 0;

    /// `leading` times 10^exponent, the double nearest to it.
    double value() const;
    friend bool operator==(const Division&, const Division&) = default;
};

/// `value` as a division, to a relative 1e-9; `leading` 0 when it is none, or not between 1e-6 and 1e9.
Division division_from(double value);

/// The division shown in `unit` on a scale whose division is `division_kg`: the same where it exists there,
/// else the next coarser one, since a finer one would promise what was not verified.
Division division_in(scale::MassUnit unit, double division_kg);

/// A weight as it stands on a screen: `digits` with the point before the last `decimals` of them.
struct ShownWeight {
    std::int64_t digits = 0;
    int decimals = 0;
};

/// `weight_kg` in `unit`, rounded to `division` of that unit.
ShownWeight shown_weight(double weight_kg, scale::MassUnit unit, const Division& division);

inline constexpr int max_partial_ranges = 3;

using scale::PartialRange;

/// The partial weighing ranges of a multi-interval scale, finest first; one of them is an ordinary scale. The
/// load decides which one is used, growing or falling (R 76-1:2006, T.3.2.6 and 3.3; clauses from memory).
struct PartialRanges {
    std::array<PartialRange, max_partial_ranges> ranges{};
    int count = 0;

    /// Division at `weight_kg` (its size counts): that of the first range that holds it, past the last one
    /// the last. 0 without ranges.
    double division_at(double weight_kg) const;

    /// `weight_kg` rounded to the division it falls under.
    double rounded_kg(double weight_kg) const;
};

/// Why ranges and divisions are refused.
enum class DivisionError : unsigned char {
    none,
    no_range,        ///< fewer than one or more than three
    not_positive,    ///< a Max or a division that is no positive number
    not_1_2_5,       ///< a division that is not 1, 2 or 5 times a power of ten of the unit
    not_increasing,  ///< a Max or a division no larger than the one before
    not_whole        ///< a Max that its own or the next range's division does not go into
};

/// Whether `ranges` can be weighed by, with divisions round in `unit`.
DivisionError check_ranges(const PartialRanges& ranges, scale::MassUnit unit);

/// Weight before rounding, from the indication I and the small weights dL that had to be added until it
/// changed to the next division: I + e/2 - dL (OIML R 76-1:2006, A.4.4.3). All in kg.
constexpr double weight_before_rounding_kg(double indication_kg, double division_kg, double added_kg) {
    return indication_kg + 0.5 * division_kg - added_kg;
}

}  // namespace cornerbench::weighing
