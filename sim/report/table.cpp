#include "sim/report/table.h"

#include <algorithm>

namespace cornerbench::report {

int display_width(std::string_view text) {
    int width = 0;
    for (const char c : text) {
        const bool continues = (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
        if (!continues) ++width;
    }
    return width;
}

Table& Table::column(std::string heading, Align align) {
    columns_.push_back({std::move(heading), align});
    return *this;
}

void Table::row(std::vector<Cell> cells) {
    cells.resize(columns_.size());
    rows_.push_back(std::move(cells));
}

void Table::print(std::ostream& out, const Style& style, int indent) const {
    std::vector<int> widths;
    for (std::size_t c = 0; c < columns_.size(); ++c) {
        int width = display_width(columns_[c].heading);
        for (const auto& row : rows_) width = std::max(width, display_width(row[c].text));
        widths.push_back(width);
    }
    const auto print_row = [&](const std::vector<Cell>& cells) {
        std::string line(static_cast<std::size_t>(indent), ' ');
        std::string blanks;
        for (std::size_t c = 0; c < columns_.size(); ++c) {
            const auto missing = static_cast<std::size_t>(widths[c] - display_width(cells[c].text));
            if (columns_[c].align == Align::right) blanks.append(missing, ' ');
            if (!cells[c].text.empty()) {
                line += blanks;
                blanks.clear();
                line += style(cells[c].tone, cells[c].text);
            }
            if (columns_[c].align == Align::left) blanks.append(missing, ' ');
            blanks.append(2, ' ');
        }
        out << line << '\n';
    };
    std::vector<Cell> headings;
    for (const Column& column : columns_) headings.push_back({column.heading, Tone::faint});
    print_row(headings);
    for (const auto& row : rows_) print_row(row);
}

void print_wrapped(std::ostream& out, std::string_view text, int indent) {
    const std::string margin(static_cast<std::size_t>(indent), ' ');
    while (!text.empty()) {
        std::string_view paragraph = text.substr(0, text.find('\n'));
        text.remove_prefix(std::min(text.size(), paragraph.size() + 1));
        std::string line = margin;
        bool fresh = true;
        while (!paragraph.empty()) {
            const std::string_view word = paragraph.substr(0, paragraph.find(' '));
            paragraph.remove_prefix(std::min(paragraph.size(), word.size() + 1));
            if (!fresh && display_width(line) + 1 + display_width(word) > page_width) {
                out << line << '\n';
                line = margin;
                fresh = true;
            }
            if (!fresh) line += ' ';
            line += word;
            fresh = false;
        }
        out << line << '\n';
    }
}

}  // namespace cornerbench::report
