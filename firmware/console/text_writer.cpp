#include "firmware/console/text_writer.h"

#include <array>
#include <bit>

#include "firmware/console/long_integer.h"
#include "firmware/console/number_text.h"

namespace cornerbench::console {

namespace {

constexpr int most_digits = 17;

struct Decimal {
    std::array<char, most_digits> digits{};
    int exponent = 0;  ///< of the first digit
};

/// Digit generation with exact integers (Steele and White 1990, fixed count; from memory). `value` is
/// positive and finite.
Decimal decimal_of(double value, int count) {
    const auto pattern = std::bit_cast<std::uint64_t>(value);
    const int biased = static_cast<int>(pattern >> 52 & 0x7FFu);
    const std::uint64_t fraction = pattern & ((1ull << 52) - 1);
    const std::uint64_t mantissa = biased == 0 ? fraction : fraction | 1ull << 52;
    const int exponent = (biased == 0 ? 1 : biased) - 1075;

    LongInteger above(mantissa);
    LongInteger below(1);
    if (exponent >= 0)
        above.shift_left(exponent);
    else
        below.shift_left(-exponent);

    // 1233 / 4096 is log10(2) to 1e-5: one too few or too many, put right below.
    const int leading_bit = static_cast<int>(std::bit_width(mantissa)) - 1 + exponent;
    Decimal decimal;
    decimal.exponent = leading_bit * 1233 >> 12;
    if (decimal.exponent >= 0)
        below.multiply_by_power_of_ten(decimal.exponent);
    else
        above.multiply_by_power_of_ten(-decimal.exponent);
    if (above.compare(below) < 0) {
        above.multiply_add(10, 0);
        --decimal.exponent;
    }
    LongInteger ten_below = below;
    ten_below.multiply_add(10, 0);
    if (above.compare(ten_below) >= 0) {
        below = ten_below;
        ++decimal.exponent;
    }

    for (int i = 0; i < count; ++i) {
        char digit = '0';
        while (above.compare(below) >= 0) {
            above.subtract(below);
            ++digit;
        }
        decimal.digits[static_cast<std::size_t>(i)] = digit;
        above.multiply_add(10, 0);
    }
    below.multiply_add(5, 0);
    const int against_half = above.compare(below);
    const bool odd = (decimal.digits[static_cast<std::size_t>(count - 1)] - '0') % 2 != 0;
    if (against_half < 0 || (against_half == 0 && !odd)) return decimal;
    for (int i = count - 1; i >= 0; --i) {
        char& digit = decimal.digits[static_cast<std::size_t>(i)];
        if (digit != '9') {
            ++digit;
            return decimal;
        }
        digit = '0';
    }
    decimal.digits[0] = '1';
    ++decimal.exponent;
    return decimal;
}

}  // namespace

void TextWriter::put_integer(std::int64_t value) {
    put_decimal(value, 0);
}

void TextWriter::put_hexadecimal(std::uint64_t value, int digits) {
    for (int i = digits - 1; i >= 0; --i) {
        const auto nibble = static_cast<char>(value >> (4 * i) & 0xFu);
        put(static_cast<char>(nibble < 10 ? '0' + nibble : 'A' + nibble - 10));
    }
}

void TextWriter::put_decimal(std::int64_t digits, int decimals) {
    std::array<char, 24> reversed{};
    std::size_t count = 0;
    if (digits < 0) put('-');
    std::uint64_t left =
        digits < 0 ? 0 - static_cast<std::uint64_t>(digits) : static_cast<std::uint64_t>(digits);
    for (; left > 0; left /= 10) reversed[count++] = static_cast<char>('0' + left % 10);
    if (count == 0) reversed[count++] = '0';
    const std::size_t after = decimals > 0 ? static_cast<std::size_t>(decimals) : 0;
    if (after >= count) {
        put('0');
        if (after > 0) put('.');
        for (std::size_t i = count; i < after; ++i) put('0');
        if (after == 0) return;
        while (count > 0) put(reversed[--count]);
        return;
    }
    while (count > 0) {
        if (count == after) put('.');
        put(reversed[--count]);
    }
}

void TextWriter::put_real(double value, int significant) {
    if (value != value) return put("9.91E+37");
    if (value < 0.0) put('-');
    const double size = value < 0.0 ? -value : value;
    if (size > 1.7976931348623157e308) return put("9.9E+37");
    if (size == 0.0) return put("0.0E+00");

    const int count = significant < 1 ? 1 : significant > most_digits ? most_digits : significant;
    const Decimal decimal = decimal_of(size, count);
    int last = count - 1;
    while (last > 1 && decimal.digits[static_cast<std::size_t>(last)] == '0') --last;
    put(decimal.digits[0]);
    put('.');
    if (last < 1) put('0');
    for (int i = 1; i <= last; ++i) put(decimal.digits[static_cast<std::size_t>(i)]);
    put('E');
    put(decimal.exponent < 0 ? '-' : '+');
    const int exponent = decimal.exponent < 0 ? -decimal.exponent : decimal.exponent;
    if (exponent < 10) put('0');
    put_integer(exponent);
}

void TextWriter::put_exact(double value) {
    for (int significant = 15; significant < most_digits; ++significant) {
        std::array<char, 32> place{};
        TextWriter trial(place);
        trial.put_real(value, significant);
        if (read_decimal(trial.text()).value == value) return put(trial.text());
    }
    put_real(value, most_digits);
}

}  // namespace cornerbench::console
