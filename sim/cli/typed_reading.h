#pragma once

#include <optional>
#include <string>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/description.h"

/// Readings as a person types them into a dialogue.
namespace cornerbench::cli {

/// The unit in which a value of `reading` is typed when none is given; empty of a look.
std::string usual_unit(const diagnosis::Reading& reading, const scale::Description& description);

/// Fills in what was read; else says what would be valid.
std::optional<std::string> take_value(const std::string& words, const scale::Description& description,
                                      diagnosis::Reading& reading);

/// The words of `typed_place`, a line each, for a dialogue's help.
inline constexpr const char* typed_reading_help =
    "  weight empty = 20                  weight 10000 over 3 = 9980\n"
    "  weight 10000 section 2 decreasing = 9980       (from twice that)\n"
    "  weight empty returned zero set = 40  (shown then; what follows, from zero)\n"
    "  signal 3 empty = 0.85 mV           signal 3 connected empty = 0.4 mV\n"
    "  resistance 3 E+ S- = 291.5         resistance 3 S+ shield = 5000 Mohm\n"
    "  resistance 3 S+ shield > 500 Mohm  (the meter ends there)\n"
    "  excitation box = 9.98              excitation indicator, or a cell's number\n"
    "  channel 3 10000 over 3 = 0.8       (of a box with a channel per cell)\n"
    "  inspection load arrow 3 = ok       inspection end gap = not\n"
    "  inspection wire colours 3 = S+ S-              (stand exchanged)\n";

/// What was read where, without the value: the part of a line before its '='. Fills in `reading`; else says
/// what would be valid.
std::optional<std::string> typed_place(const std::string& words, const scale::Description& description,
                                       diagnosis::Reading& reading);

}  // namespace cornerbench::cli
