#include "firmware/console/number_text.h"

#include <bit>
#include <cmath>

#include "firmware/console/characters.h"
#include "firmware/console/long_integer.h"

namespace cornerbench::console {

namespace {

constexpr int most_digits = 255;
constexpr int largest_exponent = 32000;
// A first digit beyond these is too large, or too small to be anything but 0.
constexpr int largest_power = 309;
constexpr int smallest_power = -330;

/// The double nearest to `above` / `below`, both positive.
double nearest(LongInteger above, LongInteger below) {
    const int shift = above.bits() - below.bits();
    if (shift > 0)
        below.shift_left(shift);
    else
        above.shift_left(-shift);
    // 64 bits of the quotient, the first of them set. It starts between a half and two.
    std::uint64_t quotient = 0;
    int exponent = shift + 1;
    while (quotient >> 63 == 0) {
        quotient <<= 1;
        --exponent;
        if (above.compare(below) >= 0) {
            above.subtract(below);
            quotient |= 1;
        }
        above.shift_left(1);
    }
    int dropped = 11;
    if (exponent + dropped < -1074) dropped = -1074 - exponent;
    if (dropped > 64) return 0.0;
    const std::uint64_t half = 1ull << (dropped - 1);
    const std::uint64_t rest = dropped == 64 ? quotient : quotient & ((half << 1) - 1);
    std::uint64_t mantissa = dropped == 64 ? 0 : quotient >> dropped;
    const bool beyond_half = rest > half || (rest == half && (!above.is_zero() || mantissa % 2 != 0));
    if (beyond_half) ++mantissa;
    return std::ldexp(static_cast<double>(mantissa), exponent + dropped);
}

class Reading {
  public:
    explicit Reading(std::string_view text) : text_(text) {}

    char peek() const { return at_ < text_.size() ? text_[at_] : '\0'; }
    char take() { return at_ < text_.size() ? text_[at_++] : '\0'; }
    bool take_if(char c) {
        if (at_ >= text_.size() || text_[at_] != c) return false;
        ++at_;
        return true;
    }
    void skip_blanks() {
        while (is_blank(peek())) ++at_;
    }
    std::size_t at() const { return at_; }
    void back_to(std::size_t at) { at_ = at; }

  private:
    std::string_view text_;
    std::size_t at_ = 0;
};

/// The exponent from the E on; nothing is taken, and 0 is returned, when what follows is none.
int read_exponent(Reading& reading) {
    const std::size_t before = reading.at();
    reading.skip_blanks();
    if (upper(reading.take()) != 'E') {
        reading.back_to(before);
        return 0;
    }
    reading.skip_blanks();
    const bool negative = reading.take_if('-');
    if (!negative) reading.take_if('+');
    if (!is_digit(reading.peek())) {
        reading.back_to(before);
        return 0;
    }
    int exponent = 0;
    while (is_digit(reading.peek())) {
        const int digit = reading.take() - '0';
        if (exponent <= largest_exponent) exponent = 10 * exponent + digit;
    }
    return negative ? -exponent : exponent;
}

}  // namespace

NumberRead read_decimal(std::string_view text) {
    Reading reading(text);
    const bool negative = reading.take_if('-');
    if (!negative) reading.take_if('+');

    LongInteger digits;
    int count = 0;  // without leading zeros
    int after = 0;  // behind the point
    bool any = false;
    bool point = false;
    for (;;) {
        if (!point && reading.take_if('.')) {
            point = true;
            continue;
        }
        if (!is_digit(reading.peek())) break;
        const auto digit = static_cast<std::uint32_t>(reading.take() - '0');
        any = true;
        if (count > 0 || digit != 0) ++count;
        if (count > most_digits) continue;
        digits.multiply_add(10, digit);
        if (point) ++after;
    }
    NumberRead read;
    if (!any) {
        read.error = NumberError::no_number;
        return read;
    }
    const int exponent = read_exponent(reading);
    read.length = reading.at();
    if (count > most_digits) {
        read.error = NumberError::too_many_digits;
        return read;
    }
    if (exponent > largest_exponent || exponent < -largest_exponent) {
        read.error = NumberError::exponent_too_large;
        return read;
    }
    if (digits.is_zero()) {
        read.value = negative ? -0.0 : 0.0;
        return read;
    }
    const int power = exponent - after;
    if (power + count > largest_power) {
        read.error = NumberError::exponent_too_large;
        return read;
    }
    if (power + count < smallest_power) return read;
    LongInteger below(1);
    if (power >= 0)
        digits.multiply_by_power_of_ten(power);
    else
        below.multiply_by_power_of_ten(-power);
    const double size = nearest(digits, below);
    if (size > 1.7976931348623157e308) {
        read.error = NumberError::exponent_too_large;
        return read;
    }
    read.value = negative ? -size : size;
    return read;
}

NumberRead read_other_base(std::string_view text) {
    NumberRead read;
    read.error = NumberError::no_number;
    if (text.empty()) return read;
    const char kind = upper(text.front());
    const unsigned base = kind == 'H' ? 16 : kind == 'Q' ? 8 : kind == 'B' ? 2 : 0;
    std::uint64_t value = 0;
    std::size_t at = 1;
    for (; at < text.size(); ++at) {
        const char c = upper(text[at]);
        const unsigned digit = is_digit(c)            ? static_cast<unsigned>(c - '0')
                               : c >= 'A' && c <= 'F' ? static_cast<unsigned>(c - 'A') + 10
                                                      : 16;
        if (digit >= base) break;
        value = base * value + digit;
        if (value > 0xFFFFFFFFu) {
            read.error = NumberError::too_many_digits;
            return read;
        }
    }
    if (at == 1) return read;
    read.error = NumberError::none;
    read.value = static_cast<double>(value);
    read.length = at;
    return read;
}

}  // namespace cornerbench::console
