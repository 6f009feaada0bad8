#include "sim/report/table.h"

#include <algorithm>

namespace cornerbench::report {

namespace {

/// Blanks between two columns.
constexpr int gap = 2;
/// Blanks before the second and every further line of a cell aligned left.
constexpr std::string_view hanging = "  ";

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/// Up to the first blank that may end a line: a number keeps its thousands and the unit behind it, and what
/// stands in brackets stays together.
std::string_view first_piece(std::string_view text) {
    int open = 0;
    std::size_t end = 0;
    for (; end < text.size(); ++end) {
        if (text[end] == '(') ++open;
        if (text[end] == ')') --open;
        if (text[end] == ' ' && open <= 0 && !(end > 0 && is_digit(text[end - 1]))) break;
    }
    return text.substr(0, end);
}

/// What has to stay on one line.
int longest_piece(std::string_view text) {
    int longest = 0;
    for (bool first = true; !text.empty(); first = false) {
        const std::string_view piece = first_piece(text);
        const int width = display_width(piece) + (first ? 0 : static_cast<int>(hanging.size()));
        longest = std::max(longest, width);
        text.remove_prefix(std::min(text.size(), piece.size() + 1));
    }
    return longest;
}

bool may_break(Align align, std::string_view text) {
    return align == Align::left || std::none_of(text.begin(), text.end(), is_digit);
}

/// `text` in lines of at most `width` columns, as far as its pieces let it.
std::vector<std::string> broken(std::string_view text, int width) {
    if (display_width(text) <= width) return {std::string(text)};
    std::vector<std::string> lines;
    std::string line;
    while (!text.empty()) {
        const std::string_view piece = first_piece(text);
        text.remove_prefix(std::min(text.size(), piece.size() + 1));
        if (line.empty()) {
            line = piece;
        } else if (display_width(line) + 1 + display_width(piece) <= width) {
            line += ' ';
            line += piece;
        } else {
            lines.push_back(line);
            line = std::string(hanging) + std::string(piece);
        }
    }
    lines.push_back(line);
    return lines;
}

}  // namespace

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

int Table::natural_width(std::size_t column) const {
    int width = display_width(columns_[column].heading);
    for (const auto& row : rows_) width = std::max(width, display_width(row[column].text));
    return width;
}

int Table::least_width(std::size_t column) const {
    int width = longest_piece(columns_[column].heading);
    for (const auto& row : rows_) {
        const std::string& text = row[column].text;
        width = std::max(width,
                         may_break(columns_[column].align, text) ? longest_piece(text) : display_width(text));
    }
    return width;
}

std::vector<int> Table::widths(int indent) const {
    std::vector<int> widths;
    std::vector<int> least;
    int line = indent;
    for (std::size_t c = 0; c < columns_.size(); ++c) {
        widths.push_back(natural_width(c));
        least.push_back(least_width(c));
        line += widths.back() + (c > 0 ? gap : 0);
    }
    for (; line > page_width; --line) {
        std::size_t widest = columns_.size();
        for (std::size_t c = 0; c < columns_.size(); ++c) {
            const bool gives = widths[c] > least[c];
            if (gives && (widest == columns_.size() || widths[c] > widths[widest])) widest = c;
        }
        if (widest == columns_.size()) break;
        --widths[widest];
    }
    return widths;
}

void Table::print_row(std::ostream& out, const Style& style, const std::vector<Cell>& cells,
                      const std::vector<int>& widths, int indent) const {
    std::vector<std::vector<std::string>> lines;
    std::size_t height = 1;
    for (std::size_t c = 0; c < cells.size(); ++c) {
        lines.push_back(broken(cells[c].text, widths[c]));
        height = std::max(height, lines.back().size());
    }
    for (std::size_t at = 0; at < height; ++at) {
        std::string line(static_cast<std::size_t>(indent), ' ');
        std::string blanks;
        for (std::size_t c = 0; c < cells.size(); ++c) {
            const std::string text = at < lines[c].size() ? lines[c][at] : "";
            const auto missing = static_cast<std::size_t>(widths[c] - display_width(text));
            if (columns_[c].align == Align::right) blanks.append(missing, ' ');
            if (!text.empty()) {
                line += blanks;
                blanks.clear();
                line += style(cells[c].tone, text);
            }
            if (columns_[c].align == Align::left) blanks.append(missing, ' ');
            blanks.append(gap, ' ');
        }
        out << line << '\n';
    }
}

void Table::print(std::ostream& out, const Style& style, int indent) const {
    const std::vector<int> fitting = widths(indent);
    std::vector<Cell> headings;
    for (const Column& column : columns_) headings.push_back({column.heading, Tone::faint});
    print_row(out, style, headings, fitting, indent);
    for (const auto& row : rows_) print_row(out, style, row, fitting, indent);
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
