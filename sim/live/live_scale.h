#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "sim/live/controls.h"
#include "sim/live/modbus_replies.h"
#include "sim/live/pace.h"
#include "sim/live/rtu_port.h"
#include "sim/live/serial_port.h"
#include "sim/live/server.h"
#include "sim/live/yard.h"

namespace cornerbench::live {

/// Where a live scale can be reached, and how fast its time runs.
struct LiveSetting {
    std::string address = "127.0.0.1";
    int console_port = 0;  ///< 0: any free one
    int modbus_port = 0;
    bool serial = true;
    RtuSetting rtu{};
    double pace = 1.0;  ///< times real time; 0: as fast as it goes
    /// The yard is closed after so many of its seconds; 0: never.
    double for_s = 0.0;
};

/// A yard that runs by the clock, and everything that is connected to its box. One thread, one loop: nothing
/// in it waits but for the next frame or the next byte.
class LiveScale {
  public:
    /// `yard` has to outlive it. Throws HostRefusal when a port or the serial line cannot be opened.
    LiveScale(Yard& yard, const LiveSetting& setting);

    /// Waits until a frame is due, somebody sends, or one of `also` is ready (whose `revents` are set),
    /// 10 ms at the longest; then does what there is to do.
    void turn(std::span<pollfd> also = {});

    /// As many seconds as asked for have passed in the yard.
    bool over() const { return setting_.for_s > 0.0 && yard_.time_s() >= setting_.for_s; }

    /// Called behind every frame.
    void on_frame(std::function<void()> look) { look_ = std::move(look); }

    Yard& yard() { return yard_; }
    Controls& controls() { return controls_; }
    const LiveSetting& setting() const { return setting_; }
    /// The console's address and port as a client takes them: "127.0.0.1:5025", "[::1]:5025".
    std::string console_endpoint() const { return endpoint(console_.port()); }
    std::string modbus_endpoint() const { return endpoint(modbus_.port()); }
    int console_port() const { return console_.port(); }
    int modbus_port() const { return modbus_.port(); }
    std::size_t console_clients() const { return console_.clients(); }
    std::size_t modbus_clients() const { return modbus_.clients(); }
    /// Empty without a serial line.
    std::string serial_path() const { return serial_ ? serial_->path() : std::string(); }
    /// Empty without a line for Modbus RTU.
    std::string rtu_path() const { return rtu_ ? rtu_->path() : std::string(); }
    std::uint64_t rtu_answered() const { return rtu_ ? rtu_->answered() : 0; }
    bool serial_in_use() const { return serial_ && serial_->in_use(); }

    /// Seconds of the yard in a second by the wall's clock, over the last second or so; 0 in the first one.
    double measured_pace() const { return measured_pace_; }

  private:
    std::string endpoint(int port) const;
    void measure_pace(std::int64_t now_us);
    std::unique_ptr<Connection> welcome_console(Descriptor socket);
    std::unique_ptr<Connection> welcome_modbus(Descriptor socket);
    void serve();
    void meet_firmware();
    std::int64_t firmware_time_us();

    Yard& yard_;
    Controls controls_;
    std::function<void()> look_;
    LiveSetting setting_;
    Pace pace_;
    std::uint64_t met_ = 0;  ///< which start of the firmware the clients are connected to; 0: none
    std::unique_ptr<ModbusReplies> replies_;
    Server console_;
    Server modbus_;
    std::optional<SerialPort> serial_;
    std::optional<RtuPort> rtu_;
    std::optional<virtual_scale::ClientRegisters> rtu_registers_;
    std::vector<pollfd> watched_;
    std::int64_t measured_us_ = 0;
    double measured_s_ = 0.0;
    double measured_pace_ = 0.0;
};

}  // namespace cornerbench::live
