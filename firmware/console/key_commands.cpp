#include <array>

#include "firmware/console/arguments.h"

namespace cornerbench::console {

namespace {

constexpr int zero_digits = 9;

Outcome zero(Call& call) {
    return outcome_of(call.instrument.zero());
}

Outcome zero_offset(Call& call) {
    put_mass(call, call.instrument.zero_offset_kg(), zero_digits);
    return {};
}

Outcome tare(Call& call) {
    return outcome_of(call.instrument.tare());
}

Outcome preset_tare(Call& call) {
    double mass_kg = 0.0;
    if (const Outcome outcome = read_mass(call, 0, mass_kg); outcome.error != Error::none) return outcome;
    const Outcome outcome = outcome_of(call.instrument.preset_tare(mass_kg));
    if (outcome.error == Error::data_out_of_range) return {outcome.error, "0 to the largest tare"};
    return outcome;
}

Outcome clear_tare(Call& call) {
    return outcome_of(call.instrument.clear_tare());
}

Outcome show_in(Call& call) {
    constexpr std::array<std::string_view, 3> words{"KG", "T", "LB"};
    int which = 0;
    if (const Outcome outcome = read_word(call, 0, words, which); outcome.error != Error::none)
        return {outcome.error, "KG, T or LB"};
    return outcome_of(call.instrument.show_in(static_cast<scale::MassUnit>(which)));
}

Outcome unit(Call& call) {
    call.answer.put(unit_word(call.instrument.readout().unit));
    return {};
}

constexpr std::array<Command, 7> commands{{
    {"ZERO", 0, 0, false, zero},
    {"ZERO:OFFSet?", 0, 0, false, zero_offset},
    {"TARE", 0, 0, false, tare},
    {"TARE:PRESet", 1, 1, false, preset_tare},
    {"TARE:CLEar", 0, 0, false, clear_tare},
    {"UNIT", 1, 1, false, show_in},
    {"UNIT?", 0, 0, false, unit},
}};

}  // namespace

std::span<const Command> key_commands() {
    return commands;
}

}  // namespace cornerbench::console
