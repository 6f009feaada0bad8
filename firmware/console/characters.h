#pragma once

#include <string_view>

/// What kinds of characters a program message is made of; independent of any locale.
namespace cornerbench::console {

constexpr bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
constexpr char upper(char c) {
    return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}
constexpr bool is_lower(char c) {
    return c >= 'a' && c <= 'z';
}
constexpr bool is_letter(char c) {
    return upper(c) >= 'A' && upper(c) <= 'Z';
}
constexpr bool is_blank(char c) {
    return c == ' ' || c == '\t';
}
/// Whether a word that has begun goes on with `c`.
constexpr bool goes_on_word(char c) {
    return is_letter(c) || is_digit(c) || c == '_';
}

constexpr std::string_view without_blanks(std::string_view text) {
    while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
    return text;
}

/// The first `count` characters, or all there are.
constexpr std::string_view first(std::string_view text, std::size_t count) {
    if (count < text.size()) text.remove_suffix(text.size() - count);
    return text;
}

/// Whether `given` is `word` in its short form (its capitals) or its long one, in any case.
constexpr bool means(std::string_view given, std::string_view word) {
    std::size_t capitals = 0;
    while (capitals < word.size() && !is_lower(word[capitals])) ++capitals;
    if (given.size() != capitals && given.size() != word.size()) return false;
    for (std::size_t i = 0; i < given.size(); ++i)
        if (upper(given[i]) != upper(word[i])) return false;
    return true;
}

}  // namespace cornerbench::console
