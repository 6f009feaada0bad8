#pragma once

#include <charconv>
#include <optional>
#include <string>

namespace cornerbench::field {

/// The number that a word is, all of it; nothing for anything else. The point is a point everywhere.
template <class Number>
std::optional<Number> read_number(const std::string& word) {
    Number number{};
    const char* const end = word.data() + word.size();
    const auto [rest, error] = std::from_chars(word.data(), end, number);
    if (error != std::errc() || rest != end || word.empty()) return std::nullopt;
    return number;
}

}  // namespace cornerbench::field
