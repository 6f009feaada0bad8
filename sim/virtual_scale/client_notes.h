#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "hal/answer.h"

/// What clients past the board's own line do, as notes of a recording. hal/recorded/FORMAT.md has the words.
namespace cornerbench::virtual_scale {

/// Names of the notes: a console's number follows; there is one set of registers.
inline constexpr const char* console_note = "console ";
inline constexpr const char* registers_note = "registers";

/// How the text of a console's note begins.
enum class ClientDeed : char {
    comes = '+',
    leaves = '-',
    begins = '=',    ///< one round of the console
    received = '<',  ///< answer, then the bytes
    sent = '>'       ///< answer, bytes offered, then the bytes that were taken
};

/// The text of such a note.
std::string client_comes();
std::string client_leaves();
std::string client_begins();
std::string client_received(hal::Answer answer, std::span<const std::uint8_t> bytes);
std::string client_sent(hal::Answer answer, std::size_t offered, std::span<const std::uint8_t> taken);

/// A console's note, read.
struct ClientNote {
    ClientDeed deed{};
    hal::Answer answer = hal::Answer::done;
    std::size_t offered = 0;
    std::string bytes;
};

/// False when the text is none of these.
bool read_client_note(std::string_view text, ClientNote& note);

}  // namespace cornerbench::virtual_scale
