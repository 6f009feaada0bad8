#include "firmware/console/number_text.h"

#include <array>
#include <bit>
#include <catch2/catch.hpp>
#include <charconv>
#include <cmath>
#include <random>
#include <string>

#include "firmware/console/text_writer.h"

using namespace cornerbench::console;

namespace {

std::string real_text(double value, int significant) {
    std::array<char, 40> place{};
    TextWriter writer(place);
    writer.put_real(value, significant);
    return std::string(writer.text());
}

std::string exact_text(double value) {
    std::array<char, 40> place{};
    TextWriter writer(place);
    writer.put_exact(value);
    return std::string(writer.text());
}

/// The C++ library's digits, without needless zeros but with one behind the point, and a capital E.
std::string library_text(double value, int significant) {
    std::array<char, 64> place{};
    const auto [end, error] = std::to_chars(place.data(), place.data() + place.size(), value,
                                            std::chars_format::scientific, significant - 1);
    REQUIRE(error == std::errc{});
    std::string text(place.data(), end);
    const std::size_t e = text.find('e');
    std::string mantissa = text.substr(0, e);
    if (mantissa.find('.') == std::string::npos) mantissa += ".0";
    while (mantissa.back() == '0' && mantissa[mantissa.size() - 2] != '.') mantissa.pop_back();
    return mantissa + "E" + text.substr(e + 1);
}

double library_value(const std::string& text) {
    double value = 0.0;
    const std::string_view digits = text.starts_with('+') ? std::string_view(text).substr(1) : text;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (error == std::errc::result_out_of_range) return HUGE_VAL;
    REQUIRE(error == std::errc{});
    return value;
}

bool same(double a, double b) {
    return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}

}  // namespace

TEST_CASE("Doubles are written with the digits the C++ library writes", "[console]") {
    std::mt19937_64 random(1);
    for (int i = 0; i < 20000; ++i) {
        const double value = std::bit_cast<double>(random());
        if (!std::isfinite(value)) continue;
        const int significant = 1 + static_cast<int>(random() % 17);
        INFO("pattern " << std::bit_cast<std::uint64_t>(value) << ", digits " << significant);
        REQUIRE(real_text(value, significant) == library_text(value, significant));
        REQUIRE(same(library_value(exact_text(value)), value));
    }
    // Ties, powers of two, the smallest and the largest.
    for (const double value : {0.5, 2.5, 0.125, 9.5, 99.5, 1.0, 1024.0, 5e-324, 2.2250738585072014e-308,
                               1.7976931348623157e308, 5.684341886080801e-14, 9007199254740993.0, 1e22, 1e23})
        for (int significant = 1; significant <= 17; ++significant)
            CHECK(real_text(value, significant) == library_text(value, significant));
}

TEST_CASE("What is no number is written as SCPI has it", "[console]") {
    // SCPI-99, volume 1, 7.2.1.4 and 7.2.1.5 (from memory).
    CHECK(real_text(std::nan(""), 9) == "9.91E+37");
    CHECK(real_text(HUGE_VAL, 9) == "9.9E+37");
    CHECK(real_text(-HUGE_VAL, 9) == "-9.9E+37");
    CHECK(real_text(0.0, 9) == "0.0E+00");
}

TEST_CASE("Decimals are read as the C++ library reads them", "[console]") {
    std::mt19937_64 random(2);
    const auto digit = [&random] { return static_cast<char>('0' + random() % 10); };
    for (int i = 0; i < 20000; ++i) {
        std::string text = random() % 2 == 0 ? "-" : "";
        const std::size_t before = random() % (i % 50 == 0 ? 120 : 18);
        for (std::size_t k = 0; k < before; ++k) text += digit();
        const std::size_t after = random() % (i % 50 == 0 ? 120 : 18) + (before == 0 ? 1 : 0);
        if (after > 0) text += '.';
        for (std::size_t k = 0; k < after; ++k) text += digit();
        if (random() % 2 == 0) {
            const int range = random() % 4 == 0 ? 340 : 25;
            text += "e" + std::to_string(static_cast<int>(random() % (2 * range)) - range);
        }
        INFO(text);
        const NumberRead read = read_decimal(text);
        const double expected = library_value(text);
        CHECK(read.length == text.size());
        // The library calls what is too small out of range as well; that is 0 here.
        if (std::isinf(expected)) {
            const bool small = read.error == NumberError::none && read.value == 0.0;
            REQUIRE((small || read.error == NumberError::exponent_too_large));
        } else {
            REQUIRE(read.error == NumberError::none);
            REQUIRE(same(read.value, expected));
        }
    }
    // Halfway between two doubles, and just beside it.
    for (const std::string text :
         {"9007199254740993", "9007199254740993.00000000000000000000000000000000000000001",
          "9007199254740995", "2.4703282292062327208e-324", "2.4703282292062328e-324",
          "1.7976931348623158e308", "1e23", "8.5e-310"}) {
        INFO(text);
        const double expected = library_value(text);
        CHECK(same(read_decimal(text).value, std::isinf(expected) ? 0.0 : expected));
    }
}

TEST_CASE("A number is as long as IEEE 488.2 lets it be", "[console]") {
    // IEEE 488.2 (1992), 7.7.2: NRf, and white space around the E (from memory).
    const auto length = [](std::string_view text) { return read_decimal(text).length; };
    CHECK(length("12.5 KG") == 4);
    CHECK(length("12.5e3KG") == 6);
    CHECK(length("12.5 E +3 KG") == 9);
    CHECK(read_decimal("12.5 E +3 KG").value == 12500.0);
    CHECK(length("12.5E") == 4);
    CHECK(length("1.2.3") == 3);
    CHECK(length("+.5") == 3);
    CHECK(length("5.") == 2);
    CHECK(read_decimal(".").error == NumberError::no_number);
    CHECK(read_decimal("-E3").error == NumberError::no_number);
    CHECK(read_decimal("").error == NumberError::no_number);
    CHECK(read_decimal("1E32001").error == NumberError::exponent_too_large);
    CHECK(read_decimal("1E-32001").error == NumberError::exponent_too_large);
    CHECK(read_decimal("1E-32000").error == NumberError::none);
    CHECK(read_decimal("1E400").error == NumberError::exponent_too_large);
    CHECK(read_decimal(std::string(255, '9')).error == NumberError::none);
    CHECK(read_decimal(std::string(256, '9')).error == NumberError::too_many_digits);
    CHECK(read_decimal(std::string(300, '0') + "7").value == 7.0);
}

TEST_CASE("Numbers of base 16, 8 and 2", "[console]") {
    // IEEE 488.2 (1992), 7.7.4 (from memory).
    CHECK(read_other_base("H1f").value == 31.0);
    CHECK(read_other_base("q17").value == 15.0);
    CHECK(read_other_base("B1010").value == 10.0);
    CHECK(read_other_base("B12").length == 2);
    CHECK(read_other_base("HFFFFFFFF").value == 4294967295.0);
    CHECK(read_other_base("H100000000").error == NumberError::too_many_digits);
    CHECK(read_other_base("H").error == NumberError::no_number);
    CHECK(read_other_base("X1").error == NumberError::no_number);
}

TEST_CASE("Whole numbers and numbers with a fixed point", "[console]") {
    const auto text = [](std::int64_t digits, int decimals) {
        std::array<char, 40> place{};
        TextWriter writer(place);
        writer.put_decimal(digits, decimals);
        return std::string(writer.text());
    };
    CHECK(text(0, 0) == "0");
    CHECK(text(0, 3) == "0.000");
    CHECK(text(-5, 2) == "-0.05");
    CHECK(text(-5, 1) == "-0.5");
    CHECK(text(14220, 3) == "14.220");
    CHECK(text(INT64_MIN, 0) == std::to_string(INT64_MIN));
    CHECK(text(INT64_MAX, 0) == std::to_string(INT64_MAX));
}
