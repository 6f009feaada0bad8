#pragma once

#include <deque>
#include <ostream>
#include <string>

namespace cornerbench::live {

/// Lines for standard output, which may be a pipe that nobody empties: they wait here, and the oldest are
/// dropped when they become too many. Nothing else waits for them.
class LinePrinter {
  public:
    static constexpr std::size_t most_waiting = 2000;

    /// `out` is what stands in front of `descriptor`.
    LinePrinter(std::ostream& out, int descriptor) : out_(out), descriptor_(descriptor) {}

    void add(std::string line);

    /// Prints what goes without waiting.
    void print() { (void)print(0); }

    /// The same, waiting half a second at most each time that nobody empties the pipe.
    void finish();

  private:
    bool print(int patience_ms);

    std::ostream& out_;
    int descriptor_;
    std::deque<std::string> waiting_;
    std::size_t dropped_ = 0;
};

}  // namespace cornerbench::live
