#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include <toml++/toml.h>

#include "sim/files/findings.h"

/// From a path to a TOML table.
namespace cornerbench::files {

/// Largest file that is read, in bytes: a sheet of a thousand readings has a tenth of it.
inline constexpr std::size_t largest_file_bytes = 1024 * 1024;

/// The same of a part for 'cornerbench merge': about two hundred thousand sheets, or as many made-up scales.
inline constexpr std::size_t largest_part_bytes = 64 * 1024 * 1024;

/// Text of the file at `path`; nothing, and an error of kind `unreadable`, when the host refuses it or it has
/// more than `most_bytes`.
std::optional<std::string> read_text(const std::string& path, Findings& findings,
                                     std::size_t most_bytes = largest_file_bytes);

/// `text` as a table; nothing, and an error of kind `syntax` (or `unreadable` for too much text), when it is
/// not TOML.
std::optional<toml::table> parse_text(std::string_view text, Findings& findings);

}  // namespace cornerbench::files
