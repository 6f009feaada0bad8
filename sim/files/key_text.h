#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

/// Keys and their meanings as text for people.
namespace cornerbench::files {

/// Width of the printed documentation, in columns.
inline constexpr std::size_t key_text_columns = 80;

/// A key of a file with few of them: all that is said of it.
struct PlainKey {
    std::string_view table{};  ///< "" at the top of the file
    std::string_view name{};
    std::string meaning{};  ///< with what is valid and the default
};

/// Names of the keys of `table`.
std::vector<std::string_view> names_of(const std::vector<PlainKey>& keys, std::string_view table);

/// The keys of `table`, an entry each.
std::string entries_of(const std::vector<PlainKey>& keys, std::string_view table);

/// A table among a file's keys, and what its entries stand under.
struct TableTitle {
    std::string_view table;
    std::string_view title;
};

/// The keys at the top of a file, then those of every table under its title.
std::string titled_entries(const std::vector<PlainKey>& keys, std::span<const TableTitle> titles);

/// Breaks `text` at spaces into lines of the width above, each ended: the first indented by `first` spaces,
/// the others by `rest`.
std::string wrapped(const std::string& text, std::size_t first, std::size_t rest);

/// One key's entry: its first line indented by 2, what follows by 6.
inline std::string wrapped_key(const std::string& text) {
    return wrapped(text, 2, 6);
}

}  // namespace cornerbench::files
