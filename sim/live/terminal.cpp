#include "sim/live/terminal.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>

#include <spdlog/fmt/fmt.h>

namespace cornerbench::live {

namespace {

// The alternate screen (xterm's, which all that call themselves after it have) keeps what was there before.
constexpr const char* begin = "\x1b[?1049h\x1b[?25l\x1b[2J";
constexpr const char* end = "\x1b[0m\x1b[?25h\x1b[?1049l";
constexpr int patience_ms = 500;  ///< with a terminal that does not take the last words

/// The terminal once more, so that not waiting for it is nobody else's affair.
Descriptor open_again(int terminal) {
    std::array<char, 256> name{};
    if (ttyname_r(terminal, name.data(), name.size()) == 0) {
        Descriptor opened(::open(name.data(), O_WRONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
        if (opened.open()) return opened;
    }
    return Descriptor(::dup(terminal));
}

}  // namespace

Terminal::Terminal(const report::Style& style) : style_(style), out_(open_again(STDOUT_FILENO)) {
    termios settings{};
    if (tcgetattr(STDIN_FILENO, &settings) == 0) {
        before_ = settings;
        settings.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);
        // Ctrl-S would leave everything behind the panel standing.
        settings.c_iflag &= ~static_cast<tcflag_t>(IXON | ICRNL);
        // Ctrl-C ends in order; being stopped would leave the screen as it is.
        settings.c_cc[VSUSP] = _POSIX_VDISABLE;
        settings.c_cc[VMIN] = 1;
        settings.c_cc[VTIME] = 0;
        (void)tcsetattr(STDIN_FILENO, TCSANOW, &settings);
    }
    send(begin);
}

Terminal::~Terminal() {
    send(end);
    pollfd ready{out_.get(), POLLOUT, 0};
    while (!waiting_.empty() && ::poll(&ready, 1, patience_ms) == 1 && (ready.revents & POLLOUT) != 0)
        flush();
    if (before_) (void)tcsetattr(STDIN_FILENO, TCSANOW, &*before_);
}

void Terminal::show(const std::vector<ScreenLine>& lines) {
    flush();
    if (!waiting_.empty()) return;
    winsize size{};
    const bool known = ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_row > 0 && size.ws_col > 0;
    const int rows = known ? size.ws_row : 24;
    const int columns = known ? size.ws_col : 80;
    if (rows != rows_ || columns != columns_) {
        rows_ = rows;
        columns_ = columns;
        shown_.clear();
        send("\x1b[2J");
    }
    std::vector<ScreenLine> fitting(lines.begin(),
                                    lines.begin() + std::min<std::ptrdiff_t>(std::ssize(lines), rows));
    if (std::ssize(lines) > rows)
        fitting.back() = {fmt::format("(a terminal of {} lines shows the rest)", lines.size()),
                          report::Tone::caution};
    shown_.resize(fitting.size());
    for (std::size_t i = 0; i < fitting.size(); ++i) {
        if (fitting[i] == shown_[i]) continue;
        shown_[i] = fitting[i];
        const std::string text = fitting[i].text.substr(0, static_cast<std::size_t>(columns));
        send(fmt::format("\x1b[{};1H{}", i + 1, style_(fitting[i].tone, text)));
        if (text.size() < static_cast<std::size_t>(columns)) send("\x1b[K");
    }
    flush();
}

void Terminal::flush() {
    if (waiting_.empty()) return;
    pollfd ready{out_.get(), POLLOUT, 0};
    if (::poll(&ready, 1, 0) != 1) return;
    const ssize_t went = ::write(out_.get(), waiting_.data(), waiting_.size());
    if (went > 0) waiting_.erase(0, static_cast<std::size_t>(went));
    if (went >= 0 || errno == EAGAIN || errno == EINTR) return;
    // A terminal that hung up is always ready and never takes anything.
    gone_ = true;
    waiting_.clear();
}

}  // namespace cornerbench::live
