#include "firmware/weighing/division.h"

#include <cmath>

namespace cornerbench::weighing {

namespace {

constexpr double most_divisions = 1.0e15;

/// Numbers that differ by the rounding of their units only.
constexpr double same_within = 1.0e-9;

constexpr int least_exponent = -6;
constexpr int largest_exponent = 9;

double power_of_ten(int exponent) {
    double power = 1.0;
    for (int i = 0; i < exponent; ++i) power *= 10.0;
    return power;
}

bool goes_into(double division, double whole) {
    const double times = whole / division;
    return std::fabs(times - std::round(times)) <= same_within * times;
}

/// Smallest division no smaller than `value` but for its last digits.
Division division_no_finer_than(double value) {
    for (int exponent = least_exponent; exponent <= largest_exponent; ++exponent) {
        for (const int leading : {1, 2, 5}) {
            const Division division{leading, exponent};
            if (division.value() >= value * (1.0 - same_within)) return division;
        }
    }
    return {};
}

bool is_positive(double value) {
    return value > 0.0 && value < 1.0e300;
}

}  // namespace

std::int64_t whole_divisions(double weight, double division) {
    if (!(division > 0.0)) return 0;
    const double count = std::round(weight / division);
    if (!(count == count)) return 0;
    if (count >= most_divisions) return static_cast<std::int64_t>(most_divisions);
    if (count <= -most_divisions) return -static_cast<std::int64_t>(most_divisions);
    return static_cast<std::int64_t>(count);
}

double rounded_kg(double weight_kg, double division_kg) {
    return std::round(weight_kg / division_kg) * division_kg + 0.0;  // never a negative zero
}

double Division::value() const {
    // Dividing by a power of ten that is exact gives the double nearest to the decimal number.
    return exponent < 0 ? leading / power_of_ten(-exponent) : leading * power_of_ten(exponent);
}

Division division_from(double value) {
    if (!is_positive(value)) return {};
    const Division division = division_no_finer_than(value);
    return std::fabs(division.value() - value) <= same_within * value ? division : Division{};
}

Division division_in(scale::MassUnit unit, double division_kg) {
    if (!is_positive(division_kg)) return {};
    return division_no_finer_than(division_kg / scale::kilograms_in(unit));
}

ShownWeight shown_weight(double weight_kg, scale::MassUnit unit, const Division& division) {
    const std::int64_t count = whole_divisions(weight_kg / scale::kilograms_in(unit), division.value());
    ShownWeight shown{count * division.leading, 0};
    if (division.exponent < 0) shown.decimals = -division.exponent;
    constexpr std::int64_t room = 900'000'000'000'000'000;
    for (int i = 0; i < division.exponent && shown.digits < room / 10 && shown.digits > -room / 10; ++i)
        shown.digits *= 10;
    return shown;
}

double PartialRanges::division_at(double weight_kg) const {
    if (count < 1 || count > max_partial_ranges) return 0.0;
    const double size = std::fabs(weight_kg);
    for (int i = 0; i < count; ++i) {
        const PartialRange& range = ranges[static_cast<unsigned>(i)];
        if (size <= range.max_kg * (1.0 + same_within)) return range.division_kg;
    }
    return ranges[static_cast<unsigned>(count - 1)].division_kg;
}

double PartialRanges::rounded_kg(double weight_kg) const {
    const double division = division_at(weight_kg);
    return division > 0.0 ? weighing::rounded_kg(weight_kg, division) : 0.0;
}

DivisionError check_ranges(const PartialRanges& ranges, scale::MassUnit unit) {
    if (ranges.count < 1 || ranges.count > max_partial_ranges) return DivisionError::no_range;
    for (int i = 0; i < ranges.count; ++i) {
        const PartialRange& range = ranges.ranges[static_cast<unsigned>(i)];
        if (!is_positive(range.max_kg) || !is_positive(range.division_kg)) return DivisionError::not_positive;
        if (division_from(range.division_kg / scale::kilograms_in(unit)).leading == 0)
            return DivisionError::not_1_2_5;
        if (!goes_into(range.division_kg, range.max_kg)) return DivisionError::not_whole;
        if (i == 0) continue;
        const PartialRange& finer = ranges.ranges[static_cast<unsigned>(i - 1)];
        if (range.max_kg <= finer.max_kg || range.division_kg <= finer.division_kg)
            return DivisionError::not_increasing;
        if (!goes_into(range.division_kg, finer.max_kg)) return DivisionError::not_whole;
    }
    return DivisionError::none;
}

}  // namespace cornerbench::weighing
