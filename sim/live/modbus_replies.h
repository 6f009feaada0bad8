#pragma once

#include <cstdint>
#include <memory>
#include <span>

#include "firmware/console/register_map.h"
#include "sim/live/modbus_request.h"

struct _modbus;

namespace cornerbench::live {

/// Carries Modbus requests out on an instrument's registers and has libmodbus answer them.
///
/// Frames are cut out of the stream before they come here: libmodbus's own receiving waits for the rest of a
/// frame, and one slow client would hold up all.
class ModbusReplies {
  public:
    /// Throws HostRefusal.
    explicit ModbusReplies(console::Instrument& instrument);

    /// Answers a whole frame on `socket`, which must not block. False when the answer could not be sent in
    /// full: nothing after it would be understood.
    bool answer(int socket, std::span<const std::uint8_t> frame);

  private:
    int carry_out(ModbusRequest& request);

    console::RegisterMap registers_;
    std::unique_ptr<_modbus, void (*)(_modbus*)> context_;
};

}  // namespace cornerbench::live
