#pragma once

#include <cstddef>
#include <string>

/// Keys and their meanings as text for people.
namespace cornerbench::files {

/// Width of the printed documentation, in columns.
inline constexpr std::size_t key_text_columns = 80;

/// Breaks `text` at spaces into lines of the width above, each ended: the first indented by `first` spaces,
/// the others by `rest`.
std::string wrapped(const std::string& text, std::size_t first, std::size_t rest);

/// One key's entry: its first line indented by 2, what follows by 6.
inline std::string wrapped_key(const std::string& text) {
    return wrapped(text, 2, 6);
}

}  // namespace cornerbench::files
