#pragma once

#include <poll.h>

#include <cstdint>
#include <string>
#include <vector>

#include "hal/simulated/simulated_line.h"
#include "sim/live/descriptor.h"

namespace cornerbench::live {

/// The box's own serial line at a pseudo-terminal. Bytes pass as they are, in both directions, with flow
/// control: what the box has no room for waits with the one who sent it.
///
/// One user at a time, as on a cable. Somebody new gets nothing that was meant for the one before.
class SerialPort {
  public:
    /// `line` has to outlive it. Throws HostRefusal.
    explicit SerialPort(hal::SimulatedLine& line);

    /// Where to open it, such as "/dev/pts/3".
    const std::string& path() const { return path_; }
    bool in_use() const { return line_.connected(); }

    void watch(std::vector<pollfd>& descriptors) const;

    /// Carries what waits on either side, as much as there is room for. `now_us` is the box's time.
    void serve(std::int64_t now_us);

  private:
    void carry_in();
    void carry_out();
    void hang_up();

    hal::SimulatedLine& line_;
    Descriptor master_;
    std::string path_;
    bool leaving_ = false;  ///< nobody holds the other end any more
    std::int64_t leaving_since_us_ = 0;
    std::vector<std::uint8_t> unsent_;  ///< taken from the box, not yet taken by the terminal
};

}  // namespace cornerbench::live
