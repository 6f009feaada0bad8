#include "sim/live/line_printer.h"

#include <poll.h>

#include <climits>

#include <spdlog/fmt/fmt.h>

namespace cornerbench::live {

namespace {

constexpr int patience_ms = 500;

}  // namespace

void LinePrinter::add(std::string line) {
    if (waiting_.size() == most_waiting) {
        waiting_.pop_front();
        ++dropped_;
    }
    waiting_.push_back(std::move(line));
}

bool LinePrinter::print(int wait_ms) {
    while (!waiting_.empty()) {
        // A pipe that is ready takes so much without blocking (POSIX, pipe(7): PIPE_BUF).
        pollfd ready{descriptor_, POLLOUT, 0};
        if (::poll(&ready, 1, wait_ms) != 1) return false;
        std::string piece;
        if (dropped_ > 0) piece = fmt::format("({} lines were dropped: nobody read them)\n", dropped_);
        while (!waiting_.empty() && piece.size() + waiting_.front().size() + 1 <= PIPE_BUF) {
            piece += waiting_.front() + '\n';
            waiting_.pop_front();
        }
        dropped_ = 0;
        if (piece.empty()) waiting_.pop_front();
        out_ << piece << std::flush;
        if (!out_) return false;
    }
    return true;
}

void LinePrinter::finish() {
    (void)print(patience_ms);
}

}  // namespace cornerbench::live
