#pragma once

#include <stdexcept>
#include <string>

namespace cornerbench::live {

/// The computer does not give what a live scale needs, such as a port that another program holds. The message
/// says what was asked for, why it was refused and what would do.
class HostRefusal : public std::runtime_error {
  public:
    explicit HostRefusal(const std::string& message) : std::runtime_error(message) {}
};

}  // namespace cornerbench::live
