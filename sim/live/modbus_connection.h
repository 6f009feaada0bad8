#pragma once

#include "sim/live/modbus_frames.h"
#include "sim/live/modbus_replies.h"
#include "sim/live/server.h"
#include "sim/live/socket_line.h"

namespace cornerbench::live {

/// A client of the Modbus port. It is dropped when it sends what is no Modbus frame, or does not read what it
/// is answered; half a frame costs its 260 bytes and nothing else.
class ModbusConnection final : public Connection {
  public:
    /// `replies` has to outlive it.
    ModbusConnection(Descriptor socket, ModbusReplies& replies)
        : line_(std::move(socket)), replies_(replies) {}

    bool serve(std::int64_t now_us) override;
    short events() const override;
    int descriptor() const override { return line_.descriptor(); }
    bool over() const override { return over_; }

  private:
    SocketLine line_;
    ModbusReplies& replies_;
    ModbusFrames frames_;
    bool over_ = false;
};

}  // namespace cornerbench::live
