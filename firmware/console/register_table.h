#pragma once

#include <cstdint>
#include <span>
#include <string_view>

/// Which register holds what. REGISTERS.md is this table with more words.
namespace cornerbench::console {

/// How a value lies in registers of 16 bits. What is longer than one has its most significant word in the
/// lowest address.
enum class Coding : std::uint8_t {
    u16,
    u32,
    i32,  ///< two's complement; -2147483648 while there is no value
    u64,
    f32  ///< IEEE 754 single precision; a quiet NaN (7FC0 0000) while there is no value
};

/// Registers that a value takes.
constexpr int words_of(Coding coding) {
    switch (coding) {
        case Coding::u16:
            return 1;
        case Coding::u32:
        case Coding::i32:
        case Coding::f32:
            return 2;
        case Coding::u64:
            return 4;
    }
    return 1;
}

std::string_view name_of(Coding coding);

/// What a register says; REGISTERS.md explains each with its unit.
enum class Content : std::uint8_t {
    map_version,
    has_weight,
    why,
    why_channel,
    unit,
    decimals,
    gross,
    net,
    tare,
    tare_kind,
    operation,
    questionable,
    number,
    taken_us,
    max_kg,
    division_kg,
    zero_offset_kg,
    channels,
    supports,
    calibrated,
    seal_open,
    storing,
    points,
    calibration_changes,
    configuration_changes,
    state_hash,
    last_refusal,
    channel_ratio,
    corner_gain,
    trucks,
    trucks_judged,
    traffic_changes,
    change_kind,
    change_place,
    change_since,
    change_noticed,
    change_size,
    change_strays,
    corner_error,
    corner_verdict,
    corner_count,
    corner_unread,
    corner_unjudged,
    corner_limit,
    corner_common,
    cell_gain,
    cell_gain_uncertainty,
    finding_kind,
    finding_place,
    finding_index,
    finding_other,
    finding_size,
    finding_significance
};

/// A value, or `times` of them that lie `stride` addresses apart.
struct Register {
    std::uint16_t address = 0;
    Coding coding = Coding::u16;
    Content content = Content::map_version;
    std::string_view name;
    int times = 1;
    int stride = 0;
};

/// Everything that can be read, by address. Between and behind them lie reserved registers, which read as 0.
std::span<const Register> readable_registers();

/// One past the last register that can be read.
inline constexpr std::uint16_t registers_end = 304;

/// What a client may do: each is written whole, by one request that begins at its address.
enum class Action : std::uint8_t { command, show_in, preset_tare, corner_load };

/// Registers that a client writes, all `words` of them by one request, to have something done.
struct ActionRegisters {
    std::uint16_t address = 0;
    int words = 1;
    Action action = Action::command;
    std::string_view name;
};

/// Everything that can be written, by address.
std::span<const ActionRegisters> writable_registers();

/// Numbers of `Action::command`, and one less the coils that do the same.
enum class KeyCommand : std::uint16_t { none, zero, tare, clear_tare, corner_empty, corner_clear };

inline constexpr int coil_count = 5;
inline constexpr int discrete_count = 32;  ///< 0 to 15 the operation condition, 16 to 31 the questionable one

std::string_view name_of(KeyCommand command);

}  // namespace cornerbench::console
