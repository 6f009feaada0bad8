#include "sim/files/nearest_word.h"

#include <algorithm>
#include <cstddef>
#include <limits>

namespace cornerbench::files {

namespace {

/// Longer words are compared by their beginning: no key is near as long, and the work grows with the square.
constexpr std::size_t longest_compared = 64;
/// Letters that two words must share from their beginning when one is the beginning of the other.
constexpr std::size_t shortest_beginning = 3;

bool is_near(std::string_view given, std::string_view word, int distance) {
    const std::size_t longer = std::min(std::max(given.size(), word.size()), longest_compared);
    if (distance <= std::max(1, static_cast<int>(longer / 3))) return true;
    return std::min(given.size(), word.size()) >= shortest_beginning &&
           (word.starts_with(given) || given.starts_with(word));
}

}  // namespace

int edit_distance(std::string_view a, std::string_view b) {
    a = a.substr(0, longest_compared);
    b = b.substr(0, longest_compared);
    const std::size_t columns = b.size() + 1;
    std::vector<int> two_before(columns);
    std::vector<int> before(columns);
    std::vector<int> row(columns);
    for (std::size_t j = 0; j < columns; ++j) before[j] = static_cast<int>(j);
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = static_cast<int>(i);
        for (std::size_t j = 1; j < columns; ++j) {
            const int substitution = before[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            row[j] = std::min({substitution, before[j] + 1, row[j - 1] + 1});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                row[j] = std::min(row[j], two_before[j - 2] + 1);
            }
        }
        two_before.swap(before);
        before.swap(row);
    }
    return before[columns - 1];
}

std::string_view nearest_word(std::string_view given, const std::vector<std::string_view>& known) {
    std::string_view best;
    int best_distance = std::numeric_limits<int>::max();
    for (const std::string_view word : known) {
        const int distance = edit_distance(given, word);
        if (distance < best_distance && is_near(given, word, distance)) {
            best_distance = distance;
            best = word;
        }
    }
    return best;
}

std::string nearest_or_all(std::string_view given, const std::vector<std::string_view>& known) {
    const std::string_view nearest = nearest_word(given, known);
    if (!nearest.empty()) return "nearest: " + std::string(nearest);
    std::string all;
    for (const std::string_view word : known) all += (all.empty() ? "one of: " : ", ") + std::string(word);
    return all;
}

}  // namespace cornerbench::files
