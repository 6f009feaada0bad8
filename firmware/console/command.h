#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string_view>

#include "firmware/console/error_queue.h"
#include "firmware/console/instrument.h"
#include "firmware/console/message.h"
#include "firmware/console/status_registers.h"
#include "firmware/console/text_writer.h"

/// Commands: how their headers are spelt, and what they do.
namespace cornerbench::console {

/// The four fields of *IDN? (IEEE 488.2, 10.14; from memory). They have to outlive the console and hold
/// neither comma nor semicolon.
struct Identity {
    std::string_view maker = "cornerbench";
    std::string_view model = "indicator";
    std::string_view serial = "0";
    std::string_view version = "0";
};

/// What a command works on, beside the instrument.
struct Session {
    Identity identity;
    ErrorQueue errors;
    StatusRegisters status;
    bool completion_asked = false;  ///< *OPC: the event comes when nothing is being stored any more
    bool message_waiting = false;   ///< an answer waits to be taken
};

/// One call of a command.
struct Call {
    Instrument& instrument;
    Session& session;
    std::span<const Parameter> parameters;
    int suffix = 1;  ///< of the header, CHANnel2
    TextWriter& answer;

    /// Whether a parameter with that index was sent.
    bool given(std::size_t index) const { return index < parameters.size(); }
};

/// One command: its header, how many parameters it takes, and what it does with them.
struct Command {
    /// As in a manual: `MEASure[:WEIGht]:NET?`, `CHANnel<n>:RATio?`, `*IDN?`. Capitals are the short form.
    std::string_view header;
    int least_parameters = 0;
    int most_parameters = 0;
    /// True: waits for what is being stored before it acts.
    bool waits = false;
    Outcome (*act)(Call& call) = nullptr;
};

/// Whether `unit`'s header is spelt by `pattern`; `suffix` is the number at `<n>`, 1 where none was sent.
bool is_header(const MessageUnit& unit, std::string_view pattern, int& suffix);

/// All commands there are, one group after the other.
std::array<std::span<const Command>, 8> command_groups();

/// Null when there is no such command.
const Command* find_command(const MessageUnit& unit, int& suffix);

std::span<const Command> star_commands();
std::span<const Command> system_commands();
std::span<const Command> status_commands();
std::span<const Command> measurement_commands();
std::span<const Command> key_commands();
std::span<const Command> calibration_commands();
std::span<const Command> corner_commands();
std::span<const Command> traffic_commands();

}  // namespace cornerbench::console
