#include "sim/page/description_numbers.h"

#include <cstddef>
#include <type_traits>

namespace cornerbench::page {

namespace {

/// Every member in one order. Structures are taken apart by name: a member that is added, and not passed on
/// here, does not compile.
template <class Row, class Description>
void each_number(Row& row, Description& d) {
    auto& [unit, max_kg, division_kg, finer, gravity, deck, support, cells, cable_area, cable_C, converter,
           trim, contact, wires, home_m, home_area, excitation, source, bits, full_scale, rate, noise, input,
           bond, fallback] = d;
    row(unit, max_kg, division_kg, gravity, support, cable_area, cable_C, converter, contact, wires, home_m,
        home_area, excitation, source, bits, full_scale, rate, noise, input, bond, fallback);
    for (auto& [range_max_kg, range_division_kg] : finer) row(range_max_kg, range_division_kg);
    auto& [mass, sections, section_x, width, overhang, twist, joint] = deck;
    row(mass, sections, width, overhang, twist, joint);
    for (auto& x : section_x) row(x);
    auto& [kind, total, turns, fixed, mixing] = trim;
    row(kind, total, turns, fixed, mixing);
    for (auto& cell : cells) {
        auto& [capacity, rated, rated_tol, zero_tol, input_ohm, output_ohm, input_tol, output_tol, insulation,
               nonlinearity, hysteresis, creep, zero_per_K, span_per_K, cable_m, trim_at] = cell;
        row(capacity, rated, rated_tol, zero_tol, input_ohm, output_ohm, input_tol, output_tol, insulation,
            nonlinearity, hysteresis, creep, zero_per_K, span_per_K, cable_m, trim_at);
    }
}

struct Writer {
    std::vector<double> out;

    template <class... Values>
    void operator()(const Values&... values) {
        (out.push_back(static_cast<double>(values)), ...);
    }
};

struct Reader {
    std::span<const double> in;
    std::size_t at = 0;
    bool short_of = false;

    template <class... Values>
    void operator()(Values&... values) {
        (take(values), ...);
    }

    template <class Value>
    void take(Value& value) {
        if (at == in.size()) {
            short_of = true;
            return;
        }
        const double number = in[at++];
        if constexpr (std::is_same_v<Value, double>) {
            value = number;
        } else {
            // Words and counts: small numbers that `to_numbers` wrote.
            value = static_cast<Value>(number >= 0.0 && number < 256.0 ? static_cast<int>(number) : 0);
        }
    }
};

}  // namespace

std::vector<double> to_numbers(const scale::Description& description) {
    Writer writer;
    each_number(writer, description);
    return writer.out;
}

bool from_numbers(std::span<const double> numbers, scale::Description& description) {
    Reader reader{numbers};
    each_number(reader, description);
    const int sections = description.deck.sections;
    return !reader.short_of && reader.at == numbers.size() && sections >= 2 &&
           sections <= scale::max_sections;
}

}  // namespace cornerbench::page
