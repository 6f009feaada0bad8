#include <array>

#include "firmware/console/arguments.h"

namespace cornerbench::console {

namespace {

using Member = ConditionRegister StatusRegisters::*;

template <Member which>
Outcome event(Call& call) {
    call.answer.put_integer((call.session.status.*which).take_event());
    return {};
}

template <Member which>
Outcome condition(Call& call) {
    call.answer.put_integer((call.session.status.*which).condition);
    return {};
}

template <Member which>
Outcome enabled(Call& call) {
    call.answer.put_integer((call.session.status.*which).enable);
    return {};
}

/// Bit 15 is ignored and read as 0 (SCPI-99, volume 2, 20.1.3; from memory).
template <Member which>
Outcome enable(Call& call) {
    int bits = 0;
    const Outcome outcome = read_whole(call, 0, 0, 65535, bits);
    if (outcome.error == Error::none)
        (call.session.status.*which).enable = static_cast<std::uint16_t>(bits & 0x7FFF);
    return outcome;
}

Outcome preset(Call& call) {
    call.session.status.operation.enable = 0;
    call.session.status.questionable.enable = 0;
    return {};
}

constexpr Member operation = &StatusRegisters::operation;
constexpr Member questionable = &StatusRegisters::questionable;

constexpr std::array<Command, 9> commands{{
    {"STATus:OPERation[:EVENt]?", 0, 0, false, event<operation>},
    {"STATus:OPERation:CONDition?", 0, 0, false, condition<operation>},
    {"STATus:OPERation:ENABle", 1, 1, false, enable<operation>},
    {"STATus:OPERation:ENABle?", 0, 0, false, enabled<operation>},
    {"STATus:QUEStionable[:EVENt]?", 0, 0, false, event<questionable>},
    {"STATus:QUEStionable:CONDition?", 0, 0, false, condition<questionable>},
    {"STATus:QUEStionable:ENABle", 1, 1, false, enable<questionable>},
    {"STATus:QUEStionable:ENABle?", 0, 0, false, enabled<questionable>},
    {"STATus:PRESet", 0, 0, false, preset},
}};

}  // namespace

std::span<const Command> status_commands() {
    return commands;
}

}  // namespace cornerbench::console
