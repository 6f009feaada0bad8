#pragma once

#include <string_view>

namespace cornerbench::report {

/// What stands over everything that a simulated day filled in.
inline constexpr std::string_view simulated_words =
    "SIMULATED: a program made these readings up. No scale was tested, and this is no record of one.";

}  // namespace cornerbench::report
