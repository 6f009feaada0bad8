#include "firmware/console/command.h"

#include <algorithm>

#include "firmware/console/characters.h"

namespace cornerbench::console {

namespace {

/// A larger number behind a mnemonic is no channel of any scale.
constexpr int largest_suffix = 9999;

/// A pattern's next mnemonic.
struct Element {
    std::string_view word;
    bool numbered = false;
    bool optional = false;
    std::string_view rest;
};

Element next_element(std::string_view pattern) {
    Element element;
    while (!pattern.empty() && !is_letter(pattern.front())) {
        if (pattern.front() == '[') element.optional = true;
        pattern.remove_prefix(1);
    }
    std::size_t length = 0;
    while (length < pattern.size() && goes_on_word(pattern[length])) ++length;
    element.word = first(pattern, length);
    pattern.remove_prefix(length);
    if (!pattern.empty() && pattern.front() == '<') {
        element.numbered = true;
        pattern.remove_prefix(3);
    }
    while (!pattern.empty() && (pattern.front() == ']' || pattern.front() == '?')) pattern.remove_prefix(1);
    element.rest = pattern;
    return element;
}

bool matches(std::string_view node, const Element& element, int& suffix) {
    if (!element.numbered) return means(node, element.word);
    std::size_t letters = node.size();
    while (letters > 1 && is_digit(node[letters - 1])) --letters;
    if (!means(first(node, letters), element.word)) return false;
    if (letters == node.size()) return true;
    node.remove_prefix(letters);
    suffix = 0;
    for (const char c : node)
        if (suffix <= largest_suffix) suffix = 10 * suffix + (c - '0');
    return true;
}

/// Whether the header is `pattern` with those of its optional nodes that `taken` says, a bit for each and the
/// last one's the lowest.
bool matches_with(const HeaderPath& header, std::string_view pattern, unsigned taken, unsigned optionals,
                  int& suffix) {
    std::size_t at = 0;
    suffix = 1;
    while (!pattern.empty()) {
        const Element element = next_element(pattern);
        pattern = element.rest;
        if (element.optional && (taken >> --optionals & 1u) == 0) continue;
        if (at == header.count || !matches(header.nodes[at], element, suffix)) return false;
        ++at;
    }
    return at == header.count;
}

}  // namespace

bool is_header(const MessageUnit& unit, std::string_view pattern, int& suffix) {
    suffix = 1;
    if (unit.star != pattern.starts_with('*') || unit.query != pattern.ends_with('?')) return false;
    const auto optionals = static_cast<unsigned>(std::count(pattern.begin(), pattern.end(), '['));
    for (unsigned taken = 0; taken < 1u << optionals; ++taken)
        if (matches_with(unit.header, pattern, taken, optionals, suffix)) return true;
    return false;
}

std::array<std::span<const Command>, 8> command_groups() {
    return {star_commands(), system_commands(),      status_commands(), measurement_commands(),
            key_commands(),  calibration_commands(), corner_commands(), traffic_commands()};
}

const Command* find_command(const MessageUnit& unit, int& suffix) {
    for (const auto& group : command_groups())
        for (const Command& command : group)
            if (is_header(unit, command.header, suffix)) return &command;
    return nullptr;
}

}  // namespace cornerbench::console
