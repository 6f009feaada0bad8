#pragma once

#include <string>

#include "sim/live/descriptor.h"

namespace cornerbench::live {

/// True for an address that no other computer can reach.
bool is_loopback(const std::string& address);

/// Whether `address` is a numeric one of IPv4 or IPv6; names are not looked up.
bool is_address(const std::string& address);

/// A TCP port that waits for clients.
class Listener {
  public:
    /// `port` 0 takes any free one. Throws HostRefusal; `what` names the port in its message.
    Listener(const std::string& address, int port, const std::string& what);

    /// The next client, which never blocks, or none.
    Descriptor accept();

    int descriptor() const { return socket_.get(); }
    int port() const { return port_; }

  private:
    Descriptor socket_;
    int port_ = 0;
};

}  // namespace cornerbench::live
