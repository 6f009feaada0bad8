#include "firmware/console/arguments.h"

#include <array>
#include <cmath>

#include "firmware/console/characters.h"

namespace cornerbench::console {

namespace {

/// Why `kind` cannot stand where something else is asked for.
Error not_allowed(DataKind kind) {
    switch (kind) {
        case DataKind::number:
            return Error::numeric_data_not_allowed;
        case DataKind::word:
            return Error::character_data_not_allowed;
        case DataKind::string:
            return Error::string_data_not_allowed;
        case DataKind::block:
            return Error::block_data_not_allowed;
        case DataKind::expression:
            return Error::expression_data_not_allowed;
    }
    return Error::data_type;
}

struct Suffix {
    std::string_view word;
    double kilograms;
};

constexpr std::array<Suffix, 4> mass_suffixes{
    {{"KG", 1.0}, {"T", 1000.0}, {"LB", scale::kilograms_per_pound}, {"G", 0.001}}};

}  // namespace

Outcome read_number(const Call& call, std::size_t index, double& number) {
    const Parameter& parameter = call.parameters[index];
    if (parameter.kind != DataKind::number) return {not_allowed(parameter.kind), {}};
    if (!parameter.suffix.empty()) return {Error::suffix_not_allowed, {}};
    number = parameter.number;
    return {};
}

Outcome read_whole(const Call& call, std::size_t index, int low, int high, int& number) {
    double given = 0.0;
    if (const Outcome outcome = read_number(call, index, given); outcome.error != Error::none) return outcome;
    const double whole = std::round(given);
    if (!(whole >= low && whole <= high)) return {Error::data_out_of_range, {}, low, high};
    number = static_cast<int>(whole);
    return {};
}

Outcome read_mass(const Call& call, std::size_t index, double& mass_kg) {
    const Parameter& parameter = call.parameters[index];
    if (parameter.kind == DataKind::word) {
        if (means(parameter.text, "MINimum"))
            mass_kg = 0.0;
        else if (means(parameter.text, "MAXimum"))
            mass_kg = call.instrument.max_kg();
        else
            return {Error::invalid_character_data, "a mass, MINimum or MAXimum"};
        return {};
    }
    if (parameter.kind != DataKind::number) return {not_allowed(parameter.kind), {}};
    if (parameter.suffix.empty()) {
        mass_kg = parameter.number * scale::kilograms_in(call.instrument.readout().unit);
        return {};
    }
    for (const Suffix& suffix : mass_suffixes) {
        if (!means(parameter.suffix, suffix.word)) continue;
        mass_kg = parameter.number * suffix.kilograms;
        return {};
    }
    return {Error::invalid_suffix, "KG, T, LB or G"};
}

Outcome read_word(const Call& call, std::size_t index, std::span<const std::string_view> words, int& which) {
    const Parameter& parameter = call.parameters[index];
    if (parameter.kind != DataKind::word) return {not_allowed(parameter.kind), {}};
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (!means(parameter.text, words[i])) continue;
        which = static_cast<int>(i);
        return {};
    }
    return {Error::invalid_character_data, {}};
}

std::string_view unit_word(scale::MassUnit unit) {
    switch (unit) {
        case scale::MassUnit::kilogram:
            return "KG";
        case scale::MassUnit::tonne:
            return "T";
        case scale::MassUnit::pound:
            return "LB";
    }
    return "KG";
}

void put_string(TextWriter& writer, std::string_view text) {
    writer.put('"');
    for (const char c : text) {
        if (c == '"') writer.put('"');
        writer.put(c);
    }
    writer.put('"');
}

void put_mass(Call& call, double mass_kg, int significant) {
    call.answer.put_real(mass_kg / scale::kilograms_in(call.instrument.readout().unit), significant);
}

}  // namespace cornerbench::console
