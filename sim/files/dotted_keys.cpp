#include "sim/files/dotted_keys.h"

#include <cstddef>

namespace cornerbench::files {

namespace {

bool is_bare(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           c == '-' || c == '+' || static_cast<unsigned char>(c) >= 0x80;
}

/// Position just after the quoted text that begins at `at`; the end of `text` when it never closes.
std::size_t after_quoted(std::string_view text, std::size_t at) {
    const char quote = text[at];
    const std::string_view opening = text.substr(at, 3);
    const bool long_form = opening == (quote == '"' ? "\"\"\"" : "'''");
    std::size_t i = at + (long_form ? 3 : 1);
    while (i < text.size()) {
        if (quote == '"' && text[i] == '\\') {
            i += 2;
        } else if (long_form && text.substr(i, 3) == opening) {
            // Up to two quotes may stand directly before the closing three.
            i += 3;
            for (int extra = 0; extra < 2 && i < text.size() && text[i] == quote; ++extra) ++i;
            return i;
        } else if (!long_form && text[i] == quote) {
            return i + 1;
        } else if (!long_form && text[i] == '\n') {
            return i;
        } else {
            ++i;
        }
    }
    return text.size();
}

}  // namespace

std::optional<Spot> deep_key(std::string_view text) {
    int line = 1;
    std::size_t line_start = 0;
    int dots = 0;
    std::size_t i = 0;
    while (i < text.size()) {
        const char c = text[i];
        if (c == '"' || c == '\'') {
            const std::size_t end = after_quoted(text, i);
            for (std::size_t k = i; k < end; ++k) {
                if (text[k] == '\n') {
                    ++line;
                    line_start = k + 1;
                }
            }
            i = end;
            continue;
        }
        if (c == '#') {
            while (i < text.size() && text[i] != '\n') ++i;
            continue;
        }
        if (c == '\n') {
            ++line;
            line_start = i + 1;
            dots = 0;
        } else if (c == '.') {
            if (++dots >= most_key_parts) return Spot{line, static_cast<int>(i - line_start) + 1, "", ""};
        } else if (!is_bare(c) && c != ' ' && c != '\t') {
            dots = 0;
        }
        ++i;
    }
    return std::nullopt;
}

}  // namespace cornerbench::files
