#pragma once

#include <string>
#include <string_view>
#include <vector>

/// The known word that a mistyped one most likely meant.
namespace cornerbench::files {

/// Fewest insertions, deletions, substitutions and exchanges of two neighbours that turn `a` into `b`
/// (Damerau-Levenshtein distance in its restricted form: no letter is edited twice).
int edit_distance(std::string_view a, std::string_view b);

/// Word of `known` that `given` most likely meant, the first of equals. Empty when none is near: at most a
/// third of the longer word's letters edited (one at least), or one word the beginning of the other.
std::string_view nearest_word(std::string_view given, const std::vector<std::string_view>& known);

/// What to say of a word that is not among `known`: "nearest: rubbing" when one is near, else "one of: a, b,
/// c".
std::string nearest_or_all(std::string_view given, const std::vector<std::string_view>& known);

}  // namespace cornerbench::files
