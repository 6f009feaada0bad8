#pragma once

#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <vector>

/// Which types of a header have no docstring: a line that begins with `///` directly above the definition, of
/// a template above its `template`. Reads lines laid out by clang-format, not C++.
namespace cornerbench::architecture {

/// A class, struct or enum that is defined without a docstring.
struct BareType {
    int line = 0;      ///< of the definition, from 1
    std::string text;  ///< that line without indentation
};

/// The lines of `text` without indentation and line ends.
inline std::vector<std::string_view> bare_lines(std::string_view text) {
    std::vector<std::string_view> lines;
    while (!text.empty()) {
        std::string_view line = text.substr(0, text.find('\n'));
        text.remove_prefix(std::min(text.size(), line.size() + 1));
        line.remove_prefix(std::min(line.find_first_not_of(" \t"), line.size()));
        while (!line.empty() && (line.back() == ' ' || line.back() == '\r')) line.remove_suffix(1);
        lines.push_back(line);
    }
    return lines;
}

/// Whether a type's definition, rather than its declaration or a use of it, begins on the line at `index`.
inline bool defines_type(const std::vector<std::string_view>& lines, std::size_t index) {
    constexpr std::array<std::string_view, 4> keywords{"class", "struct", "enum", "union"};
    const std::string_view first = lines[index].substr(0, lines[index].find_first_of(" {["));
    if (std::find(keywords.begin(), keywords.end(), first) == keywords.end()) return false;
    for (; index < lines.size(); ++index) {
        const std::size_t end = lines[index].find_first_of("{;(=");
        if (end != std::string_view::npos) return lines[index][end] == '{';
    }
    return false;
}

/// The first line of what is defined at `index`: that of its `template`, else `index` itself.
inline std::size_t first_line_of(const std::vector<std::string_view>& lines, std::size_t index) {
    for (std::size_t above = index; above-- > 0;) {
        const std::string_view line = lines[above];
        const bool comment = line.starts_with("//");
        if (line.empty() || line.starts_with('#')) break;
        if (!comment && (line.back() == ';' || line.back() == '{' || line.back() == '}')) break;
        if (line.starts_with("template")) return above;
    }
    return index;
}

/// Every type of a header's text that has no docstring, in order.
inline std::vector<BareType> undocumented_types(std::string_view text) {
    const std::vector<std::string_view> lines = bare_lines(text);
    std::vector<BareType> found;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        if (!defines_type(lines, i)) continue;
        const std::size_t first = first_line_of(lines, i);
        // "///<" belongs to what stands before it.
        const bool documented =
            first > 0 && lines[first - 1].starts_with("///") && !lines[first - 1].starts_with("///<");
        if (!documented) found.push_back({static_cast<int>(i) + 1, std::string(lines[i])});
    }
    return found;
}

}  // namespace cornerbench::architecture
