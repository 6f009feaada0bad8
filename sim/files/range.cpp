#include "sim/files/range.h"

#include <cstddef>
#include <cstdio>
#include <cstdlib>

namespace cornerbench::files {

namespace {

std::string formatted(const char* format, double number) {
    char text[64] = "";
    std::snprintf(text, sizeof text, format, number);
    return text;
}

}  // namespace

bool Range::holds(double number) const {
    return (number >= low && number <= high) || (or_zero && number == 0.0);
}

std::string range_text(const Range& range, std::string_view unit) {
    std::string out = range.or_zero ? "0, or at least " : "at least ";
    out += grouped_text(range.low) + " and at most " + grouped_text(range.high);
    if (!unit.empty()) out += " (" + std::string(unit) + ")";
    return out;
}

std::string number_text(double number) {
    return formatted("%.12g", number);
}

std::string grouped_text(double number) {
    std::string text = formatted("%.12g", std::strtod(formatted("%.6g", number).c_str(), nullptr));
    if (text.find_first_of("en") != std::string::npos) return text;
    std::size_t end = text.find('.');
    if (end == std::string::npos) end = text.size();
    const std::size_t first_digit = text.front() == '-' ? 1 : 0;
    while (end > first_digit + 3) {
        end -= 3;
        text.insert(end, 1, ' ');
    }
    return text;
}

}  // namespace cornerbench::files
