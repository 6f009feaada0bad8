#pragma once

#include <array>
#include <cstdlib>
#include <string>
#include <string_view>

namespace cornerbench::live::testing {

/// A terminal of 80 columns and 24 lines that knows the control sequences of ECMA-48 which a panel may use,
/// and no other: CUP, ED 2, EL 0, SGR, and the private modes for the cursor (25) and the other screen (1049).
class TerminalModel {
  public:
    static constexpr int rows = 24;
    static constexpr int columns = 80;

    TerminalModel() { clear(); }

    void take(std::string_view bytes) {
        for (const char byte : bytes) take(byte);
    }

    std::string line(int row) const {
        std::string text(grid_[static_cast<std::size_t>(row)].begin(),
                         grid_[static_cast<std::size_t>(row)].end());
        text.erase(text.find_last_not_of(' ') + 1);
        return text;
    }
    std::string text() const {
        std::string all;
        for (int row = 0; row < rows; ++row) all += line(row) + "\n";
        return all;
    }
    bool shows(std::string_view part) const { return text().find(part) != std::string::npos; }

    bool other_screen() const { return other_screen_; }
    bool cursor_hidden() const { return cursor_hidden_; }
    bool coloured() const { return coloured_; }
    /// What it did not understand, or what was written beyond its edge; empty when nothing.
    const std::string& complaints() const { return complaints_; }

  private:
    void clear() {
        for (auto& row : grid_) row.fill(' ');
    }

    void take(char byte) {
        if (!sequence_.empty()) {
            sequence_ += byte;
            if (sequence_.size() == 2 && byte != '[') complain(sequence_);
            if (sequence_.size() > 2 && byte >= '@' && byte <= '~') finish();
            return;
        }
        if (byte == '\x1b') {
            sequence_ = byte;
        } else if (byte < ' ' || byte > '~') {
            complain("a sign that is none");
        } else if (column_ >= columns) {
            complain("beyond the edge");
        } else {
            grid_[static_cast<std::size_t>(row_)][static_cast<std::size_t>(column_++)] = byte;
        }
    }

    void finish() {
        const std::string body = sequence_.substr(2, sequence_.size() - 3);
        const char what = sequence_.back();
        const std::string all = sequence_.substr(1);
        sequence_.clear();
        if (what == 'H') {
            row_ = std::atoi(body.c_str()) - 1;
            const std::size_t semicolon = body.find(';');
            column_ = semicolon == std::string::npos ? 0 : std::atoi(body.c_str() + semicolon + 1) - 1;
            if (row_ < 0 || row_ >= rows) {
                complain("a line that is not there");
                row_ = 0;
            }
        } else if (what == 'K' && body.empty()) {
            auto& row = grid_[static_cast<std::size_t>(row_)];
            std::fill(row.begin() + column_, row.end(), ' ');
        } else if (what == 'J' && body == "2") {
            clear();
        } else if (what == 'm') {
            if (body.find('3') == 0) coloured_ = true;
        } else if (all == "[?1049h" || all == "[?1049l") {
            other_screen_ = what == 'h';
        } else if (all == "[?25l" || all == "[?25h") {
            cursor_hidden_ = what == 'l';
        } else {
            complain(all);
        }
    }

    void complain(const std::string& what) {
        complaints_ += what + "; ";
        sequence_.clear();
    }

    std::array<std::array<char, columns>, rows> grid_{};
    int row_ = 0;
    int column_ = 0;
    std::string sequence_;
    std::string complaints_;
    bool other_screen_ = false;
    bool cursor_hidden_ = false;
    bool coloured_ = false;
};

}  // namespace cornerbench::live::testing
