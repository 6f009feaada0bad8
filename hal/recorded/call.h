#pragma once

#include <array>
#include <cstdint>

namespace cornerbench::hal {

/// What follows a call's numbers in a recording.
enum class Payload : std::uint8_t {
    none,
    frames,
    bytes_answered,  ///< the board's: received, read, keys
    bytes_given,     ///< the firmware's: sent, programmed
    picture
};

/// One call of a port as numbers. What does not fit into them is its payload.
///
/// Times stand relative to the step's: most calls of most steps are then equal.
struct Call {
    char letter = 0;
    std::array<std::int64_t, 3> given{};     ///< by the firmware; unused ones are 0
    std::array<std::int64_t, 2> answered{};  ///< by the board; unused ones are 0

    friend bool operator==(const Call&, const Call&) = default;
};

/// How a kind of call is written.
struct CallKind {
    char letter;
    const char* name;
    std::size_t given;
    std::size_t answered;
    std::array<const char*, 3> given_name;
    Payload payload;
};

inline constexpr char call_now = '@';
inline constexpr char call_select = 'E';
inline constexpr char call_take = 'T';
inline constexpr char call_read = 'M';
inline constexpr char call_program = 'P';
inline constexpr char call_erase = 'B';
inline constexpr char call_sync = 'Y';
inline constexpr char call_poll = 'O';
inline constexpr char call_receive = 'R';
inline constexpr char call_send = 'S';
inline constexpr char call_show = 'D';
inline constexpr char call_keys = 'K';
inline constexpr char call_kick = 'W';
inline constexpr char call_supply = 'V';
inline constexpr char call_seal = 'L';

inline constexpr std::array<CallKind, 15> call_kinds{{
    {call_now, "Clock::now", 0, 2, {}, Payload::none},
    {call_select, "Converter::select", 2, 1, {"excitation", "channels"}, Payload::none},
    {call_take, "Converter::take", 2, 2, {"room", "late"}, Payload::frames},
    {call_read, "Memory::read", 3, 1, {"block", "offset", "size"}, Payload::bytes_answered},
    {call_program, "Memory::start_program", 3, 1, {"block", "offset", "size"}, Payload::bytes_given},
    {call_erase, "Memory::start_erase", 1, 1, {"block"}, Payload::none},
    {call_sync, "Memory::start_sync", 0, 1, {}, Payload::none},
    {call_poll, "Memory::poll", 1, 1, {"late"}, Payload::none},
    {call_receive, "Line::receive", 1, 2, {"room"}, Payload::bytes_answered},
    {call_send, "Line::send", 1, 2, {"offered"}, Payload::bytes_given},
    {call_show, "Panel::show", 1, 1, {"lights"}, Payload::picture},
    {call_keys, "Panel::take_keys", 1, 2, {"room"}, Payload::bytes_answered},
    {call_kick, "Supervisor::kick", 1, 1, {"late"}, Payload::none},
    {call_supply, "Supervisor::supply_good", 1, 1, {"late"}, Payload::none},
    {call_seal, "Supervisor::seal_open", 0, 1, {}, Payload::none},
}};

/// Null when no kind has this letter.
constexpr const CallKind* kind_of(char letter) {
    for (const CallKind& kind : call_kinds)
        if (kind.letter == letter) return &kind;
    return nullptr;
}

/// a - b and a + b where a recording may hold anything: they wrap around.
constexpr std::int64_t wrapping_difference(std::int64_t a, std::int64_t b) {
    return static_cast<std::int64_t>(static_cast<std::uint64_t>(a) - static_cast<std::uint64_t>(b));
}
constexpr std::int64_t wrapping_sum(std::int64_t a, std::int64_t b) {
    return static_cast<std::int64_t>(static_cast<std::uint64_t>(a) + static_cast<std::uint64_t>(b));
}

}  // namespace cornerbench::hal
