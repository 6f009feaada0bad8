#include "sim/live/socket_line.h"

#include <sys/socket.h>

#include <cerrno>

namespace cornerbench::live {

namespace {

bool only_not_now(int why) {
    return why == EAGAIN || why == EWOULDBLOCK || why == EINTR;
}

}  // namespace

hal::Answer SocketLine::receive(std::span<std::uint8_t> bytes, std::size_t& count) {
    count = 0;
    if (gone_) return hal::Answer::disconnected;
    if (ended_ || bytes.empty()) return hal::Answer::done;
    const ssize_t got = ::recv(socket_.get(), bytes.data(), bytes.size(), 0);
    if (got > 0) count = static_cast<std::size_t>(got);
    if (got == 0) ended_ = true;
    if (got < 0 && !only_not_now(errno)) gone_ = true;
    return gone_ ? hal::Answer::disconnected : hal::Answer::done;
}

hal::Answer SocketLine::send(std::span<const std::uint8_t> bytes, std::size_t& count) {
    count = 0;
    crowded_ = false;
    if (gone_) return hal::Answer::disconnected;
    if (bytes.empty()) return hal::Answer::done;
    const ssize_t went = ::send(socket_.get(), bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (went > 0) count = static_cast<std::size_t>(went);
    if (went < 0 && !only_not_now(errno)) gone_ = true;
    crowded_ = !gone_ && count < bytes.size();
    return gone_ ? hal::Answer::disconnected : hal::Answer::done;
}

}  // namespace cornerbench::live
