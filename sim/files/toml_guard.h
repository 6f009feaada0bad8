#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "sim/files/file_error.h"

/// Keeps from the TOML library (toml++ 3.3) what it cannot bear:
///
/// - keys like a.a.a.a...: each part becomes a table inside a table, and a file of them overflows the stack
/// when
///   the innermost is freed;
/// - letters beyond ASCII outside of text and comments, and directly after a line's end that a backslash
/// takes
///   away: its test for blanks runs into code marked unreachable. Neither is TOML 1.0.0 in the first place,
///   save the second inside """ text.
namespace cornerbench::files {

/// Most parts of a dotted key; our deepest has 3.
inline constexpr int most_key_parts = 8;

/// What the library cannot bear, and where it stands.
struct Refusal {
    Spot spot;
    std::string why;
};

/// The first such place of `text`; nothing when there is none.
std::optional<Refusal> refused_by_guard(std::string_view text);

}  // namespace cornerbench::files
