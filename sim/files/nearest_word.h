#pragma once

#include <string_view>
#include <vector>

/// The known word that a mistyped one most likely meant.
namespace cornerbench::files {

/// Fewest insertions, deletions, substitutions and exchanges of two neighbours that turn `a` into `b`
/// (Damerau-Levenshtein distance in its restricted form: no letter is edited twice).
int edit_distance(std::string_view a, std::string_view b);

/// Word of `known` with the smallest edit distance, the first of equals; empty when `known` is.
std::string_view nearest_word(std::string_view given, const std::vector<std::string_view>& known);

}  // namespace cornerbench::files
