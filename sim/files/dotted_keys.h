#pragma once

#include <optional>
#include <string_view>

#include "sim/files/file_error.h"

/// Guards the TOML library against keys like a.a.a.a...: each part becomes a table inside a table, and a file
/// of them overflows the stack when the innermost is freed.
namespace cornerbench::files {

/// Most parts of a dotted key; our deepest has 3.
inline constexpr int most_key_parts = 8;

/// Place of the first key with more parts than that; nothing when there is none. Text in quotes and comments
/// is skipped.
std::optional<Spot> deep_key(std::string_view text);

}  // namespace cornerbench::files
