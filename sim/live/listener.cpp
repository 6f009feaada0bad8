#include "sim/live/listener.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>

#include <cerrno>
#include <cstring>
#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/live/host_refusal.h"

namespace cornerbench::live {

namespace {

/// A peer whose computer is gone is found out after a minute or so: it may never say good-bye.
constexpr int silent_s = 30;
constexpr int probe_every_s = 10;
constexpr int probes = 3;

using Found = std::unique_ptr<addrinfo, decltype(&freeaddrinfo)>;

Found find(const std::string& address, int port) {
    addrinfo hints{};
    hints.ai_family = AF_UNSPEC;
    hints.ai_socktype = SOCK_STREAM;
    hints.ai_flags = AI_NUMERICHOST | AI_NUMERICSERV | AI_PASSIVE;
    addrinfo* found = nullptr;
    if (getaddrinfo(address.c_str(), std::to_string(port).c_str(), &hints, &found) != 0) found = nullptr;
    return {found, &freeaddrinfo};
}

void set(int socket, int level, int option, int value) {
    // What a kernel does not know of these is done without.
    (void)setsockopt(socket, level, option, &value, sizeof value);
}

int bound_port(int socket) {
    sockaddr_storage name{};
    socklen_t size = sizeof name;
    if (getsockname(socket, reinterpret_cast<sockaddr*>(&name), &size) != 0) return 0;
    return name.ss_family == AF_INET6 ? ntohs(reinterpret_cast<const sockaddr_in6&>(name).sin6_port)
                                      : ntohs(reinterpret_cast<const sockaddr_in&>(name).sin_port);
}

}  // namespace

bool is_loopback(const std::string& address) {
    const Found found = find(address, 0);
    if (!found) return false;
    if (found->ai_family == AF_INET) {
        const auto& name = reinterpret_cast<const sockaddr_in&>(*found->ai_addr);
        return (ntohl(name.sin_addr.s_addr) >> 24u) == 127u;
    }
    const auto& name = reinterpret_cast<const sockaddr_in6&>(*found->ai_addr);
    return IN6_IS_ADDR_LOOPBACK(&name.sin6_addr);
}

bool is_address(const std::string& address) {
    return !address.empty() && find(address, 0) != nullptr;
}

Listener::Listener(const std::string& address, int port, const std::string& what) {
    const auto refuse = [&](int why) {
        throw HostRefusal(
            fmt::format("{}: port {} of {} cannot be opened: {}; another number, or 0 for any "
                        "free port, may do",
                        what, port, address, std::strerror(why)));
    };
    const Found found = find(address, port);
    if (!found) refuse(EADDRNOTAVAIL);
    socket_ = Descriptor(::socket(found->ai_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0));
    if (!socket_.open()) refuse(errno);
    set(socket_.get(), SOL_SOCKET, SO_REUSEADDR, 1);
    if (::bind(socket_.get(), found->ai_addr, found->ai_addrlen) != 0) refuse(errno);
    if (::listen(socket_.get(), SOMAXCONN) != 0) refuse(errno);
    port_ = bound_port(socket_.get());
}

Descriptor Listener::accept() {
    Descriptor client(::accept4(socket_.get(), nullptr, nullptr, SOCK_NONBLOCK | SOCK_CLOEXEC));
    if (!client.open()) return client;
    set(client.get(), IPPROTO_TCP, TCP_NODELAY, 1);
    set(client.get(), SOL_SOCKET, SO_KEEPALIVE, 1);
    set(client.get(), IPPROTO_TCP, TCP_KEEPIDLE, silent_s);
    set(client.get(), IPPROTO_TCP, TCP_KEEPINTVL, probe_every_s);
    set(client.get(), IPPROTO_TCP, TCP_KEEPCNT, probes);
    return client;
}

}  // namespace cornerbench::live
