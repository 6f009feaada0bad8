#include "sim/live/server.h"

#include <algorithm>

namespace cornerbench::live {

Server::Server(const std::string& address, int port, const std::string& what, Welcome welcome)
    : listener_(address, port, what), welcome_(std::move(welcome)) {}

void Server::watch(std::vector<pollfd>& descriptors) const {
    descriptors.push_back({listener_.descriptor(), POLLIN, 0});
    for (const Client& client : clients_) {
        // A descriptor that is watched for nothing would still wake up the loop, again and again, when its
        // peer is gone.
        if (client.connection->events() != 0)
            descriptors.push_back({client.connection->descriptor(), client.connection->events(), 0});
    }
}

void Server::let_in() {
    for (std::size_t i = 0; i < most_clients; ++i) {
        Descriptor descriptor = listener_.accept();
        if (!descriptor.open()) return;
        std::unique_ptr<Connection> connection = welcome_(std::move(descriptor));
        if (!connection) continue;
        if (clients_.size() == most_clients)
            clients_.erase(std::min_element(
                clients_.begin(), clients_.end(),
                [](const Client& one, const Client& other) { return one.heard < other.heard; }));
        clients_.push_back({std::move(connection), round_});
    }
}

void Server::serve(std::int64_t now_us) {
    ++round_;
    let_in();
    for (Client& client : clients_) {
        if (client.connection->serve(now_us)) client.heard = round_;
    }
    std::erase_if(clients_, [](const Client& client) { return client.connection->over(); });
}

}  // namespace cornerbench::live
