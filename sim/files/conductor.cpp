#include "sim/files/conductor.h"

#include <charconv>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <string>
#include <system_error>

namespace cornerbench::files {

namespace {

/// Lower case without spaces; empty for anything longer than a conductor's name can be.
std::string squeezed(std::string_view text) {
    constexpr std::size_t longest = 32;
    std::string out;
    if (text.size() > longest) return out;
    for (const char c : text) {
        if (c == ' ') continue;
        out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    }
    return out;
}

std::optional<std::string_view> before_suffix(std::string_view text, std::string_view suffix) {
    if (text.size() <= suffix.size() || !text.ends_with(suffix)) return std::nullopt;
    return text.substr(0, text.size() - suffix.size());
}

template <class Number>
std::optional<Number> whole_text_as(std::string_view text) {
    Number number{};
    const char* end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, number);
    if (error != std::errc{} || stop != end) return std::nullopt;
    return number;
}

}  // namespace

double gauge_area_mm2(int gauge) {
    const double diameter_mm = 0.127 * std::pow(92.0, (36.0 - gauge) / 39.0);
    return std::numbers::pi / 4.0 * diameter_mm * diameter_mm;
}

std::optional<double> parse_conductor(std::string_view text) {
    const std::string name = squeezed(text);
    std::optional<double> area_mm2;
    if (const auto gauge_text = before_suffix(name, "awg")) {
        const auto gauge = whole_text_as<int>(*gauge_text);
        if (gauge && *gauge >= 0 && *gauge <= 40) area_mm2 = gauge_area_mm2(*gauge);
    } else if (const auto area_text = before_suffix(name, "mm2")) {
        area_mm2 = whole_text_as<double>(*area_text);
    } else if (const auto squared_text = before_suffix(name, "mm\u00b2")) {
        area_mm2 = whole_text_as<double>(*squared_text);
    }
    if (!area_mm2 || !(*area_mm2 >= least_conductor_mm2 && *area_mm2 <= largest_conductor_mm2)) {
        return std::nullopt;
    }
    return area_mm2;
}

}  // namespace cornerbench::files
