#include <array>

#include "firmware/console/arguments.h"

namespace cornerbench::console {

namespace {

Outcome next_error(Call& call) {
    call.session.errors.write_oldest(call.answer);
    // An answer there is no room for must not take the error with it.
    if (!call.answer.full()) call.session.errors.drop_oldest();
    return {};
}

Outcome error_count(Call& call) {
    call.answer.put_integer(call.session.errors.count());
    return {};
}

Outcome version(Call& call) {
    call.answer.put("1999.0");
    return {};
}

/// A non-decimal number (IEEE 488.2, 8.7.5; from memory).
Outcome state_hash(Call& call) {
    call.answer.put("#H");
    call.answer.put_hexadecimal(call.instrument.state_hash(), 16);
    return {};
}

Outcome configuration_count(Call& call) {
    call.answer.put_integer(call.instrument.configuration_changes());
    return {};
}

/// A block of definite length, one header a line (SCPI-99, volume 2, 21.11; IEEE 488.2, 8.7.9; from memory).
Outcome headers(Call& call) {
    std::size_t length = 0;
    for (const auto& group : command_groups())
        for (const Command& command : group) length += command.header.size() + 1;
    std::size_t digits = 1;
    for (std::size_t left = length; left >= 10; left /= 10) ++digits;
    call.answer.put('#');
    call.answer.put_integer(static_cast<std::int64_t>(digits));
    call.answer.put_integer(static_cast<std::int64_t>(length));
    for (const auto& group : command_groups()) {
        for (const Command& command : group) {
            call.answer.put(command.header);
            call.answer.put('\n');
        }
    }
    return {};
}

constexpr std::array<Command, 6> commands{{
    {"SYSTem:ERRor[:NEXT]?", 0, 0, false, next_error},
    {"SYSTem:ERRor:COUNt?", 0, 0, false, error_count},
    {"SYSTem:VERSion?", 0, 0, false, version},
    {"SYSTem:HASH?", 0, 0, false, state_hash},
    {"SYSTem:SETTings:COUNt?", 0, 0, false, configuration_count},
    {"[SYSTem]:HELP:HEADers?", 0, 0, false, headers},
}};

}  // namespace

std::span<const Command> system_commands() {
    return commands;
}

}  // namespace cornerbench::console
