#pragma once

#include <poll.h>

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "sim/live/listener.h"

namespace cornerbench::live {

/// One client of a server. None of its calls may wait.
class Connection {
  public:
    virtual ~Connection() = default;

    /// Reads, works, answers; a bounded piece of work, gone on with at the next call. True when something
    /// came in.
    virtual bool serve(std::int64_t now_us) = 0;

    /// The firmware has made a step.
    virtual void after_step() {}

    /// What is worth waking up for, as poll has it; 0 for nothing.
    virtual short events() const = 0;

    virtual int descriptor() const = 0;
    /// The connection has ended and is to be closed.
    virtual bool over() const = 0;
};

/// A port and those who are connected to it. No client can hold up another, or keep others out: when all
/// places are taken, the one that has been silent for longest makes room.
class Server {
  public:
    /// Makes what serves a client; a null pointer turns the client away.
    using Welcome = std::function<std::unique_ptr<Connection>(Descriptor)>;

    static constexpr std::size_t most_clients = 32;

    /// `port` 0 takes any free one. Throws HostRefusal; `what` names the port in its message.
    Server(const std::string& address, int port, const std::string& what, Welcome welcome);

    /// Appends what is to be waited for.
    void watch(std::vector<pollfd>& descriptors) const;

    /// Lets in who waits and serves everybody once.
    void serve(std::int64_t now_us);

    /// To be called after every step of the firmware.
    void after_step() {
        for (const Client& client : clients_) client.connection->after_step();
    }

    void close_all() { clients_.clear(); }
    int port() const { return listener_.port(); }
    std::size_t clients() const { return clients_.size(); }

  private:
    /// A connection, and when it was last heard of.
    struct Client {
        std::unique_ptr<Connection> connection;
        std::uint64_t heard = 0;  ///< number of the round in which something last came in
    };

    void let_in();

    Listener listener_;
    Welcome welcome_;
    std::vector<Client> clients_;
    std::uint64_t round_ = 0;
};

}  // namespace cornerbench::live
