#pragma once

#include <poll.h>

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/console/modbus_rtu.h"
#include "sim/live/descriptor.h"
#include "sim/virtual_scale/client_registers.h"

namespace cornerbench::live {

/// The bit that guards a byte on a serial line.
enum class Parity : std::uint8_t { even, odd, none };

/// How a line of Modbus RTU is set. By default as Modbus over Serial Line V1.02, 2.5.1 and 3.4, has it (from
/// memory): 19 200 baud, even parity; with no parity, two stop bits.
struct RtuSetting {
    std::string device{};  ///< a serial device, or `rtu_pseudo_terminal`; empty: no such line
    int baud = 19'200;
    Parity parity = Parity::even;
    int address = 1;  ///< of the box, 1 to 247
};

inline constexpr std::string_view rtu_pseudo_terminal = "pty";

/// Whether a serial device can be set to that speed here.
bool is_rtu_baud(int baud);

/// A line on which the box answers as a Modbus RTU device: a serial device of this computer, or a
/// pseudo-terminal for a program beside. Frames end with 3.5 characters of silence by the wall's clock.
///
/// A silence is only one where somebody has listened: bytes that waited while the yard was worked on follow
/// those before them.
class RtuPort {
  public:
    /// Opens the line and sets it. Throws HostRefusal.
    explicit RtuPort(const RtuSetting& setting);

    /// Where a client opens it; a device's own name otherwise.
    const std::string& path() const { return path_; }
    /// Frames answered so far.
    std::uint64_t answered() const { return answered_; }
    /// The device has gone, as one does that is unplugged. Nothing more comes of it.
    bool gone() const { return gone_; }

    void watch(std::vector<pollfd>& descriptors) const;

    /// How long from `now_us` on until a frame may have ended, us; never more than `longest_us`.
    std::int64_t wait_us(std::int64_t now_us, std::int64_t longest_us) const;

    /// Takes in what came and answers a frame that has ended. Without `registers`, with the box's power off,
    /// nobody answers. `now_us` is the wall's time.
    void serve(std::int64_t now_us, virtual_scale::ClientRegisters* registers);

  private:
    void open_device(const RtuSetting& setting);
    void open_pseudo_terminal();
    void take_in(std::int64_t now_us);
    void send(std::span<const std::uint8_t> bytes);

    std::uint8_t address_ = 1;
    std::int64_t silence_us_ = 0;
    console::RtuFrames frames_;
    Descriptor line_;
    Descriptor held_;  ///< a pseudo-terminal's other end: without it clients who leave would hang the line up
    std::string path_;
    bool gone_ = false;
    bool waiting_ = false;  ///< for the end of a frame
    std::int64_t looked_us_ = 0;
    std::int64_t came_us_ = 0;
    std::uint64_t answered_ = 0;
};

}  // namespace cornerbench::live
