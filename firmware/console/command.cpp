#include "firmware/console/command.h"

#include <array>

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

/// Tries the rest of `pattern` with and without each optional node; as deep as it has nodes.
bool matches_from(const HeaderPath& header, std::size_t at, std::string_view pattern, int& suffix) {
    if (pattern.empty()) return at == header.count;
    const Element element = next_element(pattern);
    if (element.optional && matches_from(header, at, element.rest, suffix)) return true;
    if (at == header.count || !matches(header.nodes[at], element, suffix)) return false;
    return matches_from(header, at + 1, element.rest, suffix);
}

}  // namespace

bool is_header(const MessageUnit& unit, std::string_view pattern, int& suffix) {
    suffix = 1;
    if (unit.star != pattern.starts_with('*') || unit.query != pattern.ends_with('?')) return false;
    return matches_from(unit.header, 0, pattern, suffix);
}

std::span<const std::span<const Command>> command_groups() {
    static const std::array groups{star_commands(),        system_commands(), status_commands(),
                                   measurement_commands(), key_commands(),    calibration_commands(),
                                   corner_commands()};
    return groups;
}

const Command* find_command(const MessageUnit& unit, int& suffix) {
    for (const auto& group : command_groups())
        for (const Command& command : group)
            if (is_header(unit, command.header, suffix)) return &command;
    return nullptr;
}

}  // namespace cornerbench::console
