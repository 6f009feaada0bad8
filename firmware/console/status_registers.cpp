#include "firmware/console/status_registers.h"

namespace cornerbench::console {

using weighing::NoWeight;

std::uint16_t operation_condition(const weighing::Readout& readout, const Instrument& instrument) {
    unsigned bits = 0;
    if (instrument.calibration_points() > 0) bits |= operation_calibrating;
    if (readout.why == NoWeight::settling || readout.why == NoWeight::starting) bits |= operation_settling;
    if (readout.has_weight()) {
        bits |= operation_measuring;
        if (!readout.stable) bits |= operation_motion;
        if (readout.at_zero) bits |= operation_at_zero;
    }
    if (readout.tare_kind != weighing::TareKind::none) bits |= operation_net;
    if (instrument.storing()) bits |= operation_storing;
    if (instrument.seal_open()) bits |= operation_seal_open;
    return static_cast<std::uint16_t>(bits);
}

std::uint16_t questionable_condition(const weighing::Readout& readout, const Instrument& instrument) {
    unsigned bits = 0;
    if (!instrument.calibrated()) bits |= questionable_calibration;
    if (!readout.has_weight()) bits |= questionable_no_weight;
    if (readout.has_weight() && readout.degraded) bits |= questionable_degraded;
    switch (readout.why) {
        case NoWeight::none:
        case NoWeight::settling:
        case NoWeight::starting:
        case NoWeight::settings_wrong:
        case NoWeight::settings_lost:
        case NoWeight::not_calibrated:
        case NoWeight::no_initial_zero:
            break;
        case NoWeight::over_range:
        case NoWeight::under_range:
        case NoWeight::zero_lost:
            bits |= questionable_range;
            break;
        case NoWeight::reference_missing:
        case NoWeight::saturated:
        case NoWeight::cell_backwards:
        case NoWeight::converter_error:
        case NoWeight::sum_disagrees:
        case NoWeight::samples_missing:
        case NoWeight::samples_stale:
        case NoWeight::code_stuck:
        case NoWeight::cell_overloaded:
        case NoWeight::cell_unloaded:
        case NoWeight::supply_low:
        case NoWeight::clock_stopped:
            bits |= questionable_signal;
            break;
    }
    return static_cast<std::uint16_t>(bits);
}

std::uint8_t StatusRegisters::status_byte(bool errors, bool message) const {
    unsigned byte = 0;
    if (errors) byte |= status_errors;
    if (questionable.summary()) byte |= status_questionable;
    if (message) byte |= status_message;
    if ((event & event_enable) != 0) byte |= status_event;
    if (operation.summary()) byte |= status_operation;
    // A service request cannot be enabled by its own bit (IEEE 488.2, 11.3.2).
    if ((byte & request_enable & ~static_cast<unsigned>(status_request)) != 0) byte |= status_request;
    return static_cast<std::uint8_t>(byte);
}

}  // namespace cornerbench::console
