#pragma once

#include <cstdint>
#include <memory>
#include <span>

#include "firmware/console/modbus_request.h"
#include "sim/virtual_scale/client_registers.h"

struct _modbus;

namespace cornerbench::live {

/// Carries Modbus requests out on an instrument's registers and has libmodbus answer them.
///
/// Frames are cut out of the stream before they come here: libmodbus's own receiving waits for the rest of a
/// frame, and one slow client would hold up all.
class ModbusReplies {
  public:
    /// `scale` has to outlive it. Throws HostRefusal.
    explicit ModbusReplies(virtual_scale::VirtualScale& scale);

    /// Answers a whole frame on `socket`, which must not block. False when the answer could not be sent in
    /// full: nothing after it would be understood.
    bool answer(int socket, std::span<const std::uint8_t> frame);

  private:
    virtual_scale::ClientRegisters registers_;
    std::unique_ptr<_modbus, void (*)(_modbus*)> context_;
};

}  // namespace cornerbench::live
