#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

/// Numbers out of text, the same double on every target: nearest, ties to even, by exact integers.
namespace cornerbench::console {

/// Why a text gives no number.
enum class NumberError : std::uint8_t {
    none,
    no_number,           ///< no digit where one should be
    exponent_too_large,  ///< beyond 32000 (IEEE 488.2, 7.7.2.4.1; from memory), or beyond what a double holds
    too_many_digits      ///< more than 255 without leading zeros (IEEE 488.2, 7.7.2.4.1; from memory)
};

/// A number out of the beginning of a text; `value` means something only without an error.
struct NumberRead {
    NumberError error = NumberError::none;
    double value = 0.0;
    std::size_t length = 0;  ///< characters that belong to the number
};

/// The decimal number that `text` begins with: sign, digits with or without a point, exponent; white space
/// may stand around the E (NRf of IEEE 488.2, 7.7.2; clause from memory). Too small for a double is 0.
NumberRead read_decimal(std::string_view text);

/// The number behind '#': H, Q or B and digits of base 16, 8 or 2, up to 2^32 - 1 (IEEE 488.2, 7.7.4; clause
/// from memory). `text` begins after the '#'.
NumberRead read_other_base(std::string_view text);

}  // namespace cornerbench::console
