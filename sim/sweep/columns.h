#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "firmware/scale/description.h"

/// What is looked at while something is swept.
namespace cornerbench::sweep {

/// What can be looked at, and in which unit.
enum class Quantity : unsigned char {
    spread,      ///< largest corner error less smallest, kg
    corner,      ///< error of the test load over one support, kg
    section,     ///< the same midway across a section, kg
    display,     ///< weight of the load on the deck, kg
    zero,        ///< of the empty deck before zero is set, kg
    span,        ///< half of Max, spread evenly, relative error
    reading,     ///< of the converter under the load, V/V
    signal,      ///< of one cell at its wires in the box, connected, under the load, V
    excitation,  ///< between the bars of the box, V; of channel 1 where each cell has its own
    current      ///< from the excitation supply, A
};

/// One thing that is looked at, and where.
struct Column {
    Quantity what = Quantity::spread;
    int index = 0;  ///< support, section or cell, from 0

    friend bool operator==(const Column&, const Column&) = default;
};

/// "spread", "corner 3".
std::string name_of(const Column& column);

/// True for what only the corner and section test tells.
bool of_corner_test(Quantity what);

/// The columns of a word such as "spread", "corner=3" or "corners", which is every one; in `error` what would
/// be valid instead of it.
std::vector<Column> read_columns(std::string_view word, const scale::Description& description,
                                 std::string& error);

/// Spread and every corner.
std::vector<Column> usual_columns(const scale::Description& description);

}  // namespace cornerbench::sweep
