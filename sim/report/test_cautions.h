#pragma once

#include <array>
#include <string_view>

namespace cornerbench::report {

/// What a day of tests must mind, on screen and on paper.
inline constexpr std::array<std::string_view, 4> test_cautions{
    "Test weights crush: chock what rolls, lift only with gear made for it, stay out from under and from "
    "between a load and anything solid, and keep every load within what the deck's place bears.",
    "Nobody stands or reaches under a deck that only jacks hold; a pit is a confined space: test its air, "
    "and "
    "never go in alone.",
    "Boxes and indicators may hold mains: switch off, lock out and test before a cover comes off.",
    "On a scale used for trade, adjusting breaks a seal. Local weights-and-measures law says who may do that "
    "and who verifies: call a licensed technician. This record approves nothing for trade."};

}  // namespace cornerbench::report
