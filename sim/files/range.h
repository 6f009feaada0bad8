#pragma once

#include <string>
#include <string_view>

/// Which numbers are valid, and numbers as people read them.
namespace cornerbench::files {

/// Valid numbers, both ends included; `or_zero` admits 0 below `low`.
struct Range {
    double low = 0.0;
    double high = 0.0;
    bool or_zero = false;

    /// Whether a number is valid here; never one that is no number.
    bool holds(double number) const;
};

/// "at least 0.1 and at most 12 (m)".
std::string range_text(const Range& range, std::string_view unit);

/// Up to 12 significant digits, no more than needed: "0.02", "1e-09".
std::string number_text(double number);

/// Up to 6 significant digits with thousands set apart: "10 000", "9 960.5".
std::string grouped_text(double number);

}  // namespace cornerbench::files
