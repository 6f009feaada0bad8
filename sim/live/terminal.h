#pragma once

#include <termios.h>

#include <optional>
#include <string>
#include <vector>

#include "sim/live/descriptor.h"
#include "sim/report/style.h"

namespace cornerbench::live {

/// One line of the screen, in one tone.
struct ScreenLine {
    std::string text;  ///< ASCII, no line end
    report::Tone tone = report::Tone::plain;

    friend bool operator==(const ScreenLine&, const ScreenLine&) = default;
};

/// The terminal at standard output as a screen of lines, by the control sequences of ECMA-48 alone, and its
/// keys one by one. It is left as it was when this is destroyed.
///
/// A terminal that does not take what is written to it holds up nobody: it gets the next picture when it is
/// ready for one.
class Terminal {
  public:
    explicit Terminal(const report::Style& style);
    ~Terminal();
    Terminal(const Terminal&) = delete;
    Terminal& operator=(const Terminal&) = delete;

    /// Shows `lines` from the top, cut to the terminal's size.
    void show(const std::vector<ScreenLine>& lines);

    /// It hung up: nobody looks any more, and nobody can press a key.
    bool gone() const { return gone_; }

  private:
    void send(const std::string& text) { waiting_ += text; }
    void flush();

    report::Style style_;
    Descriptor out_;
    std::optional<termios> before_;
    std::vector<ScreenLine> shown_;
    int rows_ = 0;
    int columns_ = 0;
    std::string waiting_;  ///< not yet taken by the terminal
    bool gone_ = false;
};

}  // namespace cornerbench::live
