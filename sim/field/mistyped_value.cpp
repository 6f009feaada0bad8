#include "sim/field/mistyped_value.h"

#include <charconv>
#include <cmath>
#include <string>
#include <utility>

#include <spdlog/fmt/fmt.h>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/random_source.h"

namespace cornerbench::field {

using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;

namespace {

constexpr std::uint64_t mistake_stream = 81;
constexpr double plainly = 10.0;
constexpr int most_draws = 400;

/// The unit in which the value is written down.
double written_unit(const Reading& r, const scale::Description& d) {
    switch (r.quantity) {
        case Quantity::weight:
            return scale::kilograms_in(d.unit);
        case Quantity::signal:
        case Quantity::channel:
            return 1.0e-3;
        default:
            return 1.0;
    }
}

/// Two neighbouring digits that differ, exchanged; the same value where there are none.
double digits_exchanged(double written, RandomSource& random) {
    std::string text = fmt::format("{:.7g}", written);
    std::vector<std::size_t> places;
    const auto digit = [&](std::size_t i) { return text[i] >= '0' && text[i] <= '9'; };
    for (std::size_t i = 0; i + 1 < text.size() && text[i] != 'e'; ++i) {
        if (digit(i) && digit(i + 1) && text[i] != text[i + 1]) places.push_back(i);
    }
    if (places.empty()) return written;
    const std::size_t at = places[static_cast<std::size_t>(random.index(static_cast<int>(places.size())))];
    std::swap(text[at], text[at + 1]);
    double mistaken = written;
    std::from_chars(text.data(), text.data() + text.size(), mistaken);
    return mistaken;
}

double mistaken_value(const Reading& r, const std::vector<Reading>& all, const scale::Description& d,
                      RandomSource& random) {
    const double unit = written_unit(r, d);
    switch (random.index(4)) {
        case 0:
            return unit * digits_exchanged(r.value / unit, random);
        case 1:
            return random.share() < 0.5 ? 10.0 * r.value : 0.1 * r.value;
        case 2:
            return -r.value;
        default: {
            const Reading& other = all[static_cast<std::size_t>(random.index(static_cast<int>(all.size())))];
            const bool alike = other.quantity == r.quantity && other.shown == Shown::value &&
                               other.between_a == r.between_a && other.between_b == r.between_b;
            return alike ? other.value : r.value;
        }
    }
}

}  // namespace

std::optional<int> mistype_one(const scale::Description& d, diagnosis::Sheet sheet, std::uint64_t seed,
                               std::vector<Reading>& readings) {
    if (readings.empty()) return std::nullopt;
    sheet.readings = readings;
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    std::vector<diagnosis::Compared> rows(readings.size());
    const int count = diagnosis::compare(d, sheet, scale::Fault{}, {}, memory, rows);
    if (count == 0) return std::nullopt;
    RandomSource random(seed, mistake_stream);
    for (int draw = 0; draw < most_draws; ++draw) {
        const diagnosis::Compared& row = rows[static_cast<std::size_t>(random.index(count))];
        Reading& r = readings[static_cast<std::size_t>(row.reading)];
        const double value = mistaken_value(r, readings, d, random);
        const bool ohms = r.quantity == Quantity::resistance;
        if (!std::isfinite(r.value) || (ohms && !(value > 0.0))) continue;
        const double off = ohms ? std::log(value / r.value) : value - r.value;
        if (!(std::fabs(off) > plainly * row.uncertainty)) continue;
        r.value = value;
        return row.reading;
    }
    return std::nullopt;
}

}  // namespace cornerbench::field
