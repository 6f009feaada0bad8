#include "sim/live/serial_port.h"

#include <fcntl.h>
#include <pty.h>
#include <termios.h>

#include <array>
#include <cerrno>
#include <cstring>

#include <spdlog/fmt/fmt.h>

#include "sim/live/host_refusal.h"

namespace cornerbench::live {

namespace {

/// Of the box's time, for what it has taken in from somebody who has left.
constexpr std::int64_t to_work_off_us = 100'000;

void make_raw(int terminal) {
    termios settings{};
    if (tcgetattr(terminal, &settings) != 0) return;
    cfmakeraw(&settings);
    (void)tcsetattr(terminal, TCSANOW, &settings);
}

}  // namespace

SerialPort::SerialPort(hal::SimulatedLine& line) : line_(line) {
    int master = -1;
    int slave = -1;
    std::array<char, 128> name{};
    if (openpty(&master, &slave, name.data(), nullptr, nullptr) != 0)
        throw HostRefusal(
            fmt::format("serial line: no pseudo-terminal can be opened: {}; mount /dev/pts, or "
                        "leave the serial line out with --no-serial",
                        std::strerror(errno)));
    master_ = Descriptor(master);
    const Descriptor closed_again(slave);
    path_ = name.data();
    make_raw(slave);
    (void)fcntl(master, F_SETFL, O_NONBLOCK);
    (void)fcntl(master, F_SETFD, FD_CLOEXEC);
    line_.set_connected(false);
}

void SerialPort::watch(std::vector<pollfd>& descriptors) const {
    // While nobody holds the other end, poll would report that without pause; `serve` finds out who comes.
    if (!in_use() || leaving_) return;
    const bool room = line_.peer_room() > 0;
    const int events = (room ? POLLIN : 0) | (unsent_.empty() ? 0 : POLLOUT);
    if (events != 0) descriptors.push_back({master_.get(), static_cast<short>(events), 0});
}

void SerialPort::serve(std::int64_t now_us) {
    pollfd look{master_.get(), POLLIN, 0};
    if (::poll(&look, 1, 0) < 0) return;
    const bool nobody = (look.revents & POLLHUP) != 0;
    const bool unread = (look.revents & POLLIN) != 0;
    // Somebody new, before the box was told that the one before has left.
    if (leaving_ && !nobody) hang_up();
    // Lines from somebody who has left already count as well.
    if (!in_use() && (!nobody || unread)) line_.set_connected(true);
    if (!in_use()) return;
    carry_in();
    carry_out();
    const bool all_read = !unread && line_.peer_room() == hal::SimulatedLine::capacity;
    if (!nobody || !all_read || !leaving_) leaving_since_us_ = now_us;
    leaving_ = nobody;
    if (leaving_ && now_us - leaving_since_us_ >= to_work_off_us) hang_up();
}

void SerialPort::hang_up() {
    leaving_ = false;
    line_.set_connected(false);
    unsent_.clear();
    // What the one before has not read, and how that one had set the terminal, would await the next.
    const Descriptor slave(::open(path_.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC | O_NONBLOCK));
    if (!slave.open()) return;
    (void)tcflush(slave.get(), TCIFLUSH);
    make_raw(slave.get());
}

void SerialPort::carry_in() {
    std::array<std::uint8_t, 512> bytes{};
    const std::size_t room = std::min(bytes.size(), line_.peer_room());
    if (room == 0) return;
    const ssize_t got = ::read(master_.get(), bytes.data(), room);
    if (got > 0) line_.peer_sends(std::span(bytes).first(static_cast<std::size_t>(got)));
}

void SerialPort::carry_out() {
    if (unsent_.empty()) {
        unsent_.resize(512);
        unsent_.resize(line_.peer_takes(unsent_));
    }
    if (unsent_.empty()) return;
    const ssize_t went = ::write(master_.get(), unsent_.data(), unsent_.size());
    if (went > 0) unsent_.erase(unsent_.begin(), unsent_.begin() + went);
}

}  // namespace cornerbench::live
