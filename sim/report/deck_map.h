#pragma once

#include <ostream>
#include <span>
#include <string>
#include <vector>

#include "sim/report/style.h"

namespace cornerbench::report {

/// What the map says at one support, line by line from the deck outwards.
struct MapCorner {
    std::vector<std::string> lines;
    Tone tone = Tone::plain;  ///< of all lines but the support's number
};

/// A deck seen from above with the far row on top, as the operator sees it; supports numbered as in
/// scale/numbering.h. `corners` holds one entry per support, all with as many lines.
void print_deck_map(std::ostream& out, int sections, std::span<const MapCorner> corners, const Style& style);

}  // namespace cornerbench::report
