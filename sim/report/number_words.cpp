#include "sim/report/number_words.h"

#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/files/mass_unit.h"

namespace cornerbench::report {

namespace {

constexpr int most_decimals = 9;

/// Places that a division needs: 0 for 20, 2 for 0.02.
int decimals_of(double division) {
    int decimals = 0;
    double scaled = division;
    while (decimals < most_decimals && std::fabs(scaled - std::round(scaled)) > 1.0e-6 * scaled) {
        scaled *= 10.0;
        ++decimals;
    }
    return decimals;
}

std::string with_separators(std::string_view digits) {
    const std::size_t first = digits.starts_with('-') ? 1 : 0;
    const std::size_t point = std::min(digits.find('.'), digits.size());
    std::string out;
    for (std::size_t at = 0; at < digits.size(); ++at) {
        const bool starts_group = at > first && at < point && (point - at) % 3 == 0;
        if (starts_group) out += ' ';
        out += digits[at];
    }
    return out;
}

}  // namespace

std::string grouped(double value, int decimals) {
    if (!std::isfinite(value)) return std::isnan(value) ? "?" : value > 0.0 ? "infinite" : "-infinite";
    std::string digits = fmt::format("{:.{}f}", value, decimals);
    if (digits.front() == '-' && digits.find_first_of("123456789") == std::string::npos) digits.erase(0, 1);
    return with_separators(digits);
}

std::string signed_grouped(double value, int decimals) {
    std::string digits = grouped(value, decimals);
    const bool nothing = digits.find_first_of("123456789") == std::string::npos;
    return digits.front() == '-' || nothing ? digits : "+" + digits;
}

std::string figures(double value, int count) {
    if (!std::isfinite(value) || value == 0.0) return grouped(value);
    int before_point = 1;
    double size = std::fabs(value);
    for (; size >= 10.0; size /= 10.0) ++before_point;
    for (; size < 1.0; size *= 10.0) --before_point;
    const int decimals = count - before_point;
    if (decimals <= 0) {
        const double step = std::pow(10.0, -decimals);
        return grouped(std::round(value / step) * step);
    }
    std::string digits = grouped(value, decimals);
    while (digits.back() == '0') digits.pop_back();
    if (digits.back() == '.') digits.pop_back();
    return digits;
}

std::string percent(double share) {
    if (share >= 1.0 || share <= 0.0) return share >= 1.0 ? "100 %" : "0 %";
    if (share > 0.999) return "above 99.9 %";
    if (share < 0.001) return "below 0.1 %";
    const bool near_an_end = share < 0.0995 || share > 0.9949;
    return grouped(100.0 * share, near_an_end ? 1 : 0) + " %";
}

std::string probability_words(double probability) {
    constexpr double never = 1.0e-9;
    return percent(std::clamp(probability, never, 1.0 - never));
}

MassWords::MassWords(const scale::Description& description)
    : unit_kg_(scale::kilograms_in(description.unit)),
      division_kg_(description.division_kg),
      decimals_(decimals_of(description.division_at_kg(0.0) / unit_kg_)),
      unit_(files::unit_name(description.unit)),
      max_words_(with_unit(description.max_kg)),
      division_words_(with_unit(description.division_kg)) {
    for (const scale::PartialRange& range : description.finer) {
        if (range.max_kg == 0.0) continue;
        max_words_ = number(range.max_kg) + "/" + max_words_;
        division_words_ = number(range.division_kg) + "/" + division_words_;
    }
}

std::string MassWords::number(double kg) const {
    return grouped(kg / unit_kg_, decimals_);
}

std::string MassWords::difference(double kg) const {
    return signed_grouped(kg / unit_kg_, decimals_);
}

std::string MassWords::with_unit(double kg) const {
    return number(kg) + " " + unit_;
}

double MassWords::in_unit(double kg) const {
    const double step = std::pow(10.0, decimals_ + 3);
    const double rounded = std::round(kg / unit_kg_ * step) / step;
    return rounded == 0.0 ? 0.0 : rounded;
}

std::string MassWords::divisions(double kg) const {
    return signed_grouped(kg / division_kg_, 1) + " d";
}

}  // namespace cornerbench::report
