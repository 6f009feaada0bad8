#pragma once

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>

#include <array>
#include <stdexcept>
#include <string>
#include <string_view>

#include "sim/live/descriptor.h"
#include "tests/live/live_bench.h"

namespace cornerbench::live::testing {

/// A client on the loopback that never waits: the bench it talks to is pumped by the same thread.
class TcpClient {
  public:
    /// `receive_room` in bytes, for a client that takes little; 0: the system's.
    explicit TcpClient(int port, int receive_room = 0)
        : socket_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
        if (receive_room > 0)
            (void)setsockopt(socket_.get(), SOL_SOCKET, SO_RCVBUF, &receive_room, sizeof receive_room);
        sockaddr_in to{};
        to.sin_family = AF_INET;
        to.sin_port = htons(static_cast<std::uint16_t>(port));
        to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        if (::connect(socket_.get(), reinterpret_cast<const sockaddr*>(&to), sizeof to) != 0)
            throw std::runtime_error("the bench lets nobody in");
    }

    /// How many bytes the system took.
    std::size_t send(std::string_view bytes) {
        const ssize_t went = ::send(socket_.get(), bytes.data(), bytes.size(), MSG_DONTWAIT | MSG_NOSIGNAL);
        return went > 0 ? static_cast<std::size_t>(went) : 0;
    }

    /// Everything that has come so far, since the last call of `take`.
    const std::string& came() {
        std::array<char, 4096> bytes{};
        for (;;) {
            const ssize_t got = ::recv(socket_.get(), bytes.data(), bytes.size(), MSG_DONTWAIT);
            if (got == 0 || (got < 0 && errno != EAGAIN && errno != EWOULDBLOCK)) closed_ = true;
            if (got <= 0) return came_;
            came_.append(bytes.data(), static_cast<std::size_t>(got));
        }
    }
    std::string take() { return std::exchange(came_, {}); }

    /// The other end has ended the connection.
    bool closed() {
        (void)came();
        return closed_;
    }

    /// Says that it has nothing more to say.
    void finish() { (void)::shutdown(socket_.get(), SHUT_WR); }
    /// Goes without a word: the other end gets a reset.
    void vanish() {
        const linger at_once{1, 0};
        (void)setsockopt(socket_.get(), SOL_SOCKET, SO_LINGER, &at_once, sizeof at_once);
        socket_.close();
    }
    void leave() { socket_.close(); }

  private:
    Descriptor socket_;
    std::string came_;
    bool closed_ = false;
};

/// Sends a line and pumps the bench until the answer's line has come; "(none)" when it never does.
inline std::string ask(LiveBench& bench, TcpClient& client, const std::string& line) {
    (void)client.take();
    client.send(line + "\n");
    const bool answered = bench.pump([&] { return client.came().find('\n') != std::string::npos; });
    std::string answer = client.take();
    if (!answered || answer.empty()) return "(none)";
    answer.pop_back();
    return answer;
}

/// Sends bytes and pumps until `size` bytes or the end of the connection have come.
inline std::string exchange(LiveBench& bench, TcpClient& client, std::string_view bytes, std::size_t size) {
    (void)client.take();
    client.send(bytes);
    bench.pump([&] { return client.came().size() >= size || client.closed(); });
    return client.take();
}

}  // namespace cornerbench::live::testing
