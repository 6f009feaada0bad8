#pragma once

#include <cstdint>

#include "firmware/console/instrument.h"

/// What an instrument reports of itself by bits: IEEE 488.2, 11, and SCPI-99, volume 1, 9 and volume 2, 20
/// (clauses from memory).
namespace cornerbench::console {

/// Standard event status register, *ESR? (IEEE 488.2, 11.5.1).
enum EventBit : std::uint8_t {
    event_operation_complete = 1u << 0,
    event_query_error = 1u << 2,
    event_device_error = 1u << 3,
    event_execution_error = 1u << 4,
    event_command_error = 1u << 5,
    event_power_on = 1u << 7
};

/// Status byte, *STB? (IEEE 488.2, 11.2; bits 2, 3 and 7 as SCPI-99 uses them).
enum StatusBit : std::uint8_t {
    status_errors = 1u << 2,
    status_questionable = 1u << 3,
    status_message = 1u << 4,
    status_event = 1u << 5,
    status_request = 1u << 6,
    status_operation = 1u << 7
};

/// STATus:OPERation. Bits 0, 1 and 4 are the standard's, 8 to 12 are free for the device.
enum OperationBit : std::uint16_t {
    operation_calibrating = 1u << 0,  ///< calibration points are noted
    operation_settling = 1u << 1,     ///< starting, or the filter is not full of good samples yet
    operation_measuring = 1u << 4,    ///< there is a weight
    operation_motion = 1u << 8,       ///< there is one, and it is not stable
    operation_at_zero = 1u << 9,
    operation_net = 1u << 10,  ///< there is a tare
    operation_storing = 1u << 11,
    operation_seal_open = 1u << 12
};

/// STATus:QUEStionable. Bit 8 is the standard's, 9 to 12 are free for the device.
enum QuestionableBit : std::uint16_t {
    questionable_calibration = 1u << 8,  ///< not calibrated
    questionable_no_weight = 1u << 9,    ///< for whatever reason: MEASure:STATe? has it
    questionable_range = 1u << 10,       ///< over or under range
    questionable_degraded = 1u << 11,    ///< a lost cell's share was taken from its neighbour
    questionable_signal = 1u << 12       ///< samples, excitation, supply or clock
};

/// Conditions of an instrument as it stands, `readout` being its own.
std::uint16_t operation_condition(const weighing::Readout& readout, const Instrument& instrument);
std::uint16_t questionable_condition(const weighing::Readout& readout, const Instrument& instrument);

/// Condition, event and enable; an event is a condition that came on. Bit 15 is never used.
struct ConditionRegister {
    std::uint16_t condition = 0;
    std::uint16_t event = 0;
    std::uint16_t enable = 0;

    /// Latches the conditions that have come on.
    void update(std::uint16_t now) {
        event = static_cast<std::uint16_t>(event | (now & ~condition));
        condition = now;
    }
    /// Reads the events and clears them.
    std::uint16_t take_event() {
        const std::uint16_t taken = event;
        event = 0;
        return taken;
    }
    /// Whether an enabled event is latched: this register's bit in the status byte.
    bool summary() const { return (event & enable) != 0; }
};

/// All registers of a console. Enables are 0 at power-on.
struct StatusRegisters {
    std::uint8_t event = event_power_on;
    std::uint8_t event_enable = 0;
    std::uint8_t request_enable = 0;
    ConditionRegister operation;
    ConditionRegister questionable;

    /// Latches what came on since the last call.
    void update(const Instrument& instrument) {
        const weighing::Readout& readout = instrument.readout();
        operation.update(operation_condition(readout, instrument));
        questionable.update(questionable_condition(readout, instrument));
    }
    /// Reads the standard events and clears them, as *ESR? does.
    std::uint8_t take_event() {
        const std::uint8_t taken = event;
        event = 0;
        return taken;
    }
    /// As *STB? has it; `errors` and `message`: an error, an answer waits.
    std::uint8_t status_byte(bool errors, bool message) const;
    /// *CLS: events go, enables stay (IEEE 488.2, 10.3).
    void clear_events() { event = 0, operation.event = 0, questionable.event = 0; }
};

}  // namespace cornerbench::console
