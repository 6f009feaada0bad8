#pragma once

#include <ostream>
#include <string>
#include <vector>

#include "sim/report/style.h"

namespace cornerbench::report {

/// Columns that a line of UTF-8 takes; every character counts as one.
int display_width(std::string_view text);

/// One cell of a table: UTF-8, in one tone.
struct Cell {
    std::string text;
    Tone tone = Tone::plain;
};

/// At which side of its column a cell stands.
enum class Align : unsigned char { left, right };

inline constexpr int page_width = 80;

/// Tables of text for a terminal.
/// Columns are named first, then rows come with a cell for each.
class Table {
  public:
    Table& column(std::string heading, Align align = Align::left);
    void row(std::vector<Cell> cells);
    /// Heading, then rows, two blanks between columns, `indent` blanks before each line. Where that takes
    /// more than `page_width`, words are broken into several lines, in the widest column first: in columns
    /// aligned left, and elsewhere in cells without a digit. Numbers stay whole.
    void print(std::ostream& out, const Style& style, int indent = 2) const;

  private:
    /// The heading of a column, and at which side its cells stand.
    struct Column {
        std::string heading;
        Align align = Align::left;
    };
    std::vector<int> widths(int indent) const;
    int natural_width(std::size_t column) const;
    int least_width(std::size_t column) const;
    void print_row(std::ostream& out, const Style& style, const std::vector<Cell>& cells,
                   const std::vector<int>& widths, int indent) const;

    std::vector<Column> columns_;
    std::vector<std::vector<Cell>> rows_;
};

/// `text` broken at blanks into lines of at most `page_width` columns, each behind `indent` blanks. A line
/// break in `text` stays one.
void print_wrapped(std::ostream& out, std::string_view text, int indent = 0);

}  // namespace cornerbench::report
