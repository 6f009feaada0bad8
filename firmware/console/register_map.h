#pragma once

#include <cstdint>
#include <span>

#include "firmware/console/instrument.h"
#include "firmware/console/register_table.h"

/// An instrument as registers of 16 bits, for Modbus; frames and connections are somebody else's.
namespace cornerbench::console {

/// Exception codes of the Modbus application protocol, V1.1b3, 7 (from memory).
enum class Exception : std::uint8_t {
    none = 0,
    illegal_function = 1,
    illegal_address = 2,
    illegal_value = 3,  ///< no such command or unit, or a value out of range
    device_failure = 4,
    device_busy = 6  ///< the same may be asked for again later
};

/// How a write ended: `refusal` says more than the exception's code can.
struct Written {
    Exception exception = Exception::none;
    Refusal refusal = Refusal::none;
};

/// Addresses as on the wire, from 0. Holding registers and input registers read alike. No register changes a
/// calibration.
class RegisterMap {
  public:
    explicit RegisterMap(Instrument& instrument) : instrument_(&instrument) {}

    /// Reads `values.size()` registers from `first` on. All are of one readout: an instrument does not move
    /// on while it is read. The corner check is made only for a block that touches it.
    Exception read(std::uint16_t first, std::span<std::uint16_t> values);

    /// The bits of the operation and the questionable condition.
    Exception read_discrete(std::uint16_t first, std::span<bool> values);

    /// Coils read as off: a key that was pressed is up again.
    Exception read_coils(std::uint16_t first, std::span<bool> values) const;

    /// One whole entry of `writable_registers()`. Anything else is an illegal address, and does nothing.
    Written write(std::uint16_t first, std::span<const std::uint16_t> values);

    /// Presses a key; off does nothing.
    Written write_coil(std::uint16_t address, bool on);

    /// Of the last write, whether it named an entry or not.
    Refusal last_refusal() const { return last_refusal_; }

  private:
    std::uint64_t value_of(const Register& entry, int index) const;
    Written finish(Refusal refusal);
    Written refuse(Exception exception);
    Written press(KeyCommand command);

    Instrument* instrument_;
    weighing::Readout readout_;                        ///< of the read that is under way
    const diagnosis::CornerReport* report_ = nullptr;  ///< during a read that needs it
    Refusal last_refusal_ = Refusal::none;
};

}  // namespace cornerbench::console
