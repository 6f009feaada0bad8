#pragma once

#include <optional>
#include <string_view>

/// The size of a cable's conductor as a file gives it.
namespace cornerbench::files {

/// Smallest and largest conductor that a file may name, mm2.
inline constexpr double least_conductor_mm2 = 0.03;
inline constexpr double largest_conductor_mm2 = 10.0;

/// Cross-section in mm2 of a solid conductor of American wire gauge `gauge`: diameter 0.127 mm x
/// 92^((36 - gauge)/39) (ASTM B258).
double gauge_area_mm2(int gauge);

/// Cross-section in mm2 that "22 AWG" or "0.5 mm2" names; nothing when the text is neither or the size is
/// outside the limits above.
std::optional<double> parse_conductor(std::string_view text);

}  // namespace cornerbench::files
