#pragma once

#include <array>
#include <string_view>

#include "firmware/diagnosis/reading.h"

namespace cornerbench::files {

/// What stands in place of a value, as sheets, the dialogue and reports have it; in the order of
/// diagnosis::Shown, which begins with a value.
inline constexpr std::array<std::string_view, 3> shown_instead{"over range", "under range", "blank"};

/// The word for what was shown; "value" and "at least" stand before a number.
constexpr std::string_view word_of(diagnosis::Shown shown) {
    if (shown == diagnosis::Shown::value) return "value";
    if (shown == diagnosis::Shown::at_least) return "at least";
    return shown_instead[static_cast<unsigned>(shown) - 1];
}

}  // namespace cornerbench::files
