#include "sim/report/deck_map.h"

#include <algorithm>

#include "firmware/scale/numbering.h"
#include "sim/report/table.h"

namespace cornerbench::report {

namespace {

constexpr int margin = 8;

/// `text` in the middle of `width` columns.
std::string centred(const std::string& text, int width, Tone tone, const Style& style) {
    const int blanks = std::max(0, width - display_width(text));
    const int before = blanks / 2;
    return std::string(static_cast<std::size_t>(before), ' ') + style(tone, text) +
           std::string(static_cast<std::size_t>(blanks - before), ' ');
}

void print_line(std::ostream& out, std::string line) {
    line.erase(line.find_last_not_of(' ') + 1);
    out << line << '\n';
}

}  // namespace

void print_deck_map(std::ostream& out, int sections, std::span<const MapCorner> corners, const Style& style) {
    const int width = std::min(14, (page_width - margin) / sections);
    const std::string blank_margin(margin, ' ');
    const auto corner_at = [&](int section, bool far) -> const MapCorner& {
        return corners[static_cast<std::size_t>(scale::support_at(section, far, sections))];
    };
    const auto row_line = [&](bool far, std::size_t line) {
        std::string text = blank_margin;
        for (int s = 0; s < sections; ++s) {
            const MapCorner& corner = corner_at(s, far);
            text += centred(line < corner.lines.size() ? corner.lines[line] : "", width, corner.tone, style);
        }
        print_line(out, text);
    };
    const auto numbers_line = [&](bool far) {
        std::string text = far ? "  far   " : "  near  ";
        for (int s = 0; s < sections; ++s) {
            const int number = scale::support_at(s, far, sections) + 1;
            text += centred("(" + std::to_string(number) + ")", width, Tone::strong, style);
        }
        print_line(out, text);
    };
    const auto deck_line = [&](char joint, char fill) {
        std::string text = blank_margin + std::string(static_cast<std::size_t>((width - 1) / 2), ' ');
        for (int s = 0; s < sections; ++s) {
            text += joint;
            if (s + 1 < sections) text.append(static_cast<std::size_t>(width - 1), fill);
        }
        print_line(out, text);
    };
    const std::size_t lines = corners.empty() ? 0 : corners.front().lines.size();

    for (std::size_t i = lines; i-- > 0;) row_line(true, i);
    numbers_line(true);
    deck_line('o', '=');
    deck_line('|', ' ');
    deck_line('o', '=');
    numbers_line(false);
    for (std::size_t i = 0; i < lines; ++i) row_line(false, i);
}

}  // namespace cornerbench::report
