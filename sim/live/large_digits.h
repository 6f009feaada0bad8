#pragma once

#include <array>
#include <string>
#include <string_view>

namespace cornerbench::live {

inline constexpr int large_rows = 5;

/// `text` of digits, blanks, points and minus signs in letters five lines high; other signs are left out.
std::array<std::string, large_rows> large_digits(std::string_view text);

}  // namespace cornerbench::live
