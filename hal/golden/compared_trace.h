#pragma once

#include <algorithm>
#include <array>
#include <string_view>

#include "hal/recorded/text_stream.h"

namespace cornerbench::golden {

/// Takes a trace as it is written and holds it to the one that is expected, with no memory for either.
/// Afterwards it knows the first line that differs.
class ComparedTrace final : public hal::TextSink {
  public:
    /// `expected` has to outlive this.
    explicit ComparedTrace(std::string_view expected) : expected_(expected) {}

    hal::Answer write(std::string_view text) override {
        for (const char c : text) take(c);
        return hal::Answer::done;
    }

    /// All that was expected has come, and nothing else.
    bool same() const { return line_ == 0 && at_ == expected_.size(); }

    /// Number from 1 of the first line that differs; that behind the last one when the trace ended early.
    std::size_t line() const { return line_ != 0 ? line_ : lines_ + 1; }
    /// That line as it is expected, empty where the trace goes on beyond its end, and as it came.
    std::string_view expected() const {
        const std::string_view rest = expected_.substr(std::min(begin_, expected_.size()));
        return rest.substr(0, rest.find('\n'));
    }
    std::string_view came() const { return {came_.data(), came_size_}; }

  private:
    void take(char c) {
        if (line_ != 0 && ended_) return;
        const bool ends = c == '\n';
        if (!ends && came_size_ < came_.size()) came_[came_size_++] = c;
        if (line_ == 0 && (at_ >= expected_.size() || expected_[at_] != c)) line_ = lines_ + 1;
        if (line_ != 0) {
            ended_ = ends;
            return;
        }
        ++at_;
        if (!ends) return;
        ++lines_;
        begin_ = at_;
        came_size_ = 0;
    }

    std::string_view expected_;
    std::size_t at_ = 0;
    std::size_t begin_ = 0;  ///< of the line under way
    std::size_t lines_ = 0;  ///< that came and were the same
    std::size_t line_ = 0;
    bool ended_ = false;  ///< the line that differs has come whole
    std::array<char, 400> came_{};
    std::size_t came_size_ = 0;
};

}  // namespace cornerbench::golden
