#pragma once

#include "firmware/mechanics/deck.h"
#include "firmware/scale/description.h"

/// Where a technician puts a test weight.
namespace cornerbench::field {

/// A point of the deck, as in scale/numbering.h.
struct Place {
    double x_m = 0.0;
    double y_m = 0.0;
};

inline Place over_support(const scale::Deck& deck, int support) {
    const int section = scale::section_of(support, deck.sections);
    return {deck.section_x_m[static_cast<unsigned>(section)],
            scale::is_far(support, deck.sections) ? deck.width_m : 0.0};
}

/// Midway across section line `section`, counted from 0.
inline Place over_section(const scale::Deck& deck, int section) {
    return {deck.section_x_m[static_cast<unsigned>(section)], 0.5 * deck.width_m};
}

}  // namespace cornerbench::field
