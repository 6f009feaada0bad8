#pragma once

#include <poll.h>

#include <string>

namespace cornerbench::live {

/// Standard input, for as long as there is something to come: a terminal that belongs to this program, or a
/// script.
class Keyboard {
  public:
    /// What to wait for; its descriptor is -1 when nothing can come (any more), which poll passes over.
    pollfd watched() const;

    /// What has come, when poll says that `looked_at` is ready; never waits.
    std::string read(const pollfd& looked_at);

  private:
    bool ended_ = false;
};

}  // namespace cornerbench::live
