#include <array>

#include "firmware/console/arguments.h"

namespace cornerbench::console {

namespace {

Outcome identify(Call& call) {
    const Identity& identity = call.session.identity;
    call.answer.put(identity.maker);
    for (const std::string_view field : {identity.model, identity.serial, identity.version}) {
        call.answer.put(',');
        call.answer.put(field);
    }
    return {};
}

Outcome clear_status(Call& call) {
    call.session.status.clear_events();
    call.session.errors.clear();
    call.session.completion_asked = false;
    return {};
}

/// To what it was after power-on, save for what is kept: calibration, unit, zero.
Outcome reset(Call& call) {
    call.session.completion_asked = false;
    call.instrument.forget_points();
    call.instrument.corner_forget();
    return outcome_of(call.instrument.clear_tare());
}

Outcome set_event_enable(Call& call) {
    int bits = 0;
    const Outcome outcome = read_whole(call, 0, 0, 255, bits);
    if (outcome.error == Error::none) call.session.status.event_enable = static_cast<std::uint8_t>(bits);
    return outcome;
}

Outcome event_enable(Call& call) {
    call.answer.put_integer(call.session.status.event_enable);
    return {};
}

Outcome event(Call& call) {
    call.answer.put_integer(call.session.status.take_event());
    return {};
}

Outcome set_request_enable(Call& call) {
    int bits = 0;
    const Outcome outcome = read_whole(call, 0, 0, 255, bits);
    // Bit 6 is ignored and read as 0 (IEEE 488.2, 11.3.2.3; from memory).
    if (outcome.error == Error::none)
        call.session.status.request_enable = static_cast<std::uint8_t>(bits & ~status_request);
    return outcome;
}

Outcome request_enable(Call& call) {
    call.answer.put_integer(call.session.status.request_enable);
    return {};
}

Outcome status_byte(Call& call) {
    const Session& session = call.session;
    call.answer.put_integer(session.status.status_byte(session.errors.count() > 0, session.message_waiting));
    return {};
}

Outcome complete(Call& call) {
    call.session.completion_asked = true;
    return {};
}

Outcome completed(Call& call) {
    call.answer.put('1');
    return {};
}

/// 0: nothing wrong with signal chain and settings. A load out of range is no fault, nor is a missing
/// calibration; a lost cell is, also where the weight goes on without it.
Outcome self_test(Call& call) {
    const weighing::Readout& readout = call.instrument.readout();
    const bool signal = (questionable_condition(readout, call.instrument) & questionable_signal) != 0;
    const weighing::NoWeight why = readout.why;
    const bool settings =
        why == weighing::NoWeight::settings_wrong || why == weighing::NoWeight::settings_lost;
    call.answer.put(signal || settings || readout.degraded ? '1' : '0');
    return {};
}

Outcome wait(Call&) {
    return {};
}

constexpr std::array<Command, 13> commands{{
    {"*CLS", 0, 0, false, clear_status},
    {"*ESE", 1, 1, false, set_event_enable},
    {"*ESE?", 0, 0, false, event_enable},
    {"*ESR?", 0, 0, false, event},
    {"*IDN?", 0, 0, false, identify},
    {"*OPC", 0, 0, false, complete},
    {"*OPC?", 0, 0, true, completed},
    {"*RST", 0, 0, false, reset},
    {"*SRE", 1, 1, false, set_request_enable},
    {"*SRE?", 0, 0, false, request_enable},
    {"*STB?", 0, 0, false, status_byte},
    {"*TST?", 0, 0, false, self_test},
    {"*WAI", 0, 0, true, wait},
}};

}  // namespace

std::span<const Command> star_commands() {
    return commands;
}

}  // namespace cornerbench::console
