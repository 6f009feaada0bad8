#pragma once

#include <cstdint>
#include <span>
#include <string_view>

#include "firmware/console/command.h"

/// What commands read from their data, and answers that several of them give.
namespace cornerbench::console {

/// Parameter `index` as a number without a unit. It has to be there.
Outcome read_number(const Call& call, std::size_t index, double& number);

/// The same rounded to a whole number between `low` and `high` (IEEE 488.2, 10: all registers; from memory).
Outcome read_whole(const Call& call, std::size_t index, int low, int high, int& number);

/// A mass in kg: with KG, T, LB or G behind it, or in the unit that is shown; MINimum is 0, MAXimum is Max.
Outcome read_mass(const Call& call, std::size_t index, double& mass_kg);

/// The index of the word that parameter `index` is among `words`, each spelt with its short form in capitals.
Outcome read_word(const Call& call, std::size_t index, std::span<const std::string_view> words, int& which);

/// KG, T or LB.
std::string_view unit_word(scale::MassUnit unit);

/// `text` between quotes.
void put_string(TextWriter& writer, std::string_view text);

/// A mass in the unit that is shown, to `significant` digits.
void put_mass(Call& call, double mass_kg, int significant);

}  // namespace cornerbench::console
