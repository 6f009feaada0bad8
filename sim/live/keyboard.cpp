#include "sim/live/keyboard.h"

#include <unistd.h>

#include <array>

namespace cornerbench::live {

namespace {

/// A program in the background that reads from its terminal is stopped.
bool may_read() {
    return isatty(STDIN_FILENO) == 0 || tcgetpgrp(STDIN_FILENO) == getpgrp();
}

}  // namespace

pollfd Keyboard::watched() const {
    return {ended_ || !may_read() ? -1 : STDIN_FILENO, POLLIN, 0};
}

std::string Keyboard::read(const pollfd& looked_at) {
    if (looked_at.fd < 0 || looked_at.revents == 0) return {};
    std::array<char, 256> bytes{};
    const ssize_t got = ::read(STDIN_FILENO, bytes.data(), bytes.size());
    if (got <= 0) {
        ended_ = true;
        return {};
    }
    return {bytes.data(), static_cast<std::size_t>(got)};
}

}  // namespace cornerbench::live
