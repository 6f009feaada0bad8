#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "firmware/console/instrument.h"
#include "firmware/console/text_writer.h"

/// The errors of a console, as SYSTem:ERRor? tells them.
namespace cornerbench::console {

/// Numbers of SCPI-99, volume 2, 21.8 (from memory).
enum class Error : std::int16_t {
    none = 0,
    invalid_character = -101,
    syntax = -102,
    invalid_separator = -103,
    data_type = -104,
    parameter_not_allowed = -108,
    missing_parameter = -109,
    header_separator = -111,
    mnemonic_too_long = -112,
    undefined_header = -113,
    header_suffix_out_of_range = -114,
    invalid_character_in_number = -121,
    exponent_too_large = -123,
    too_many_digits = -124,
    numeric_data_not_allowed = -128,
    invalid_suffix = -131,
    suffix_too_long = -134,
    suffix_not_allowed = -138,
    invalid_character_data = -141,
    character_data_too_long = -144,
    character_data_not_allowed = -148,
    invalid_string_data = -151,
    string_data_not_allowed = -158,
    block_data_not_allowed = -168,
    expression_data_not_allowed = -178,
    execution = -200,
    command_protected = -203,
    data_out_of_range = -222,
    too_much_data = -223,
    illegal_parameter_value = -224,
    data_corrupt_or_stale = -230,
    hardware_missing = -241,
    storage_fault = -320,
    calibration_failed = -340,
    queue_overflow = -350,
    communication = -360,
    input_overrun = -363,
    time_out = -365,
    query_deadlocked = -430
};

/// The standard's words for it.
std::string_view words(Error error);

/// The bit that `error` sets in the standard event status register (SCPI-99, volume 2, 21.8: by the hundreds;
/// IEEE 488.2, 11.5.1; from memory).
std::uint8_t event_bit(Error error);

/// Refusals have no numbers of their own in any standard: these come nearest.
Error error_for(Refusal refusal);

/// How a command ended: an error, and words of ours that follow the standard's behind a ';'. `text` has to
/// outlive the queue. Where only `low` to `high` would be valid, these are told in its place.
struct Outcome {
    Error error = Error::none;
    std::string_view text;
    int low = 0;
    int high = 0;  ///< 0: no such range
};

inline Outcome outcome_of(Refusal refusal) {
    return {error_for(refusal), refusal == Refusal::none ? std::string_view{} : words(refusal), 0, 0};
}

inline constexpr int error_queue_size = 16;

/// First in, first out. The last place is for the queue overflow: what comes when all others are taken
/// becomes that, and is lost (SCPI-99, volume 2, 21.8.1; from memory).
class ErrorQueue {
  public:
    /// `from_line` is what was sent; as much of it as there is room for is repeated to whoever reads the
    /// error.
    void push(Outcome outcome, std::string_view from_line = {});

    int count() const { return count_; }
    void clear() { count_ = 0; }

    /// Writes `number,"words;text"` of the oldest one, or `0,"No error"`.
    void write_oldest(TextWriter& writer) const;
    /// After it has been written.
    void drop_oldest();

  private:
    /// One error with the beginning of the line that gave it.
    struct Entry {
        Outcome outcome;
        std::array<char, 32> from_line{};
        std::uint8_t length = 0;
    };

    std::array<Entry, error_queue_size> entries_{};
    int first_ = 0;
    int count_ = 0;
};

}  // namespace cornerbench::console
