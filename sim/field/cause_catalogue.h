#pragma once

#include <span>
#include <string_view>

#include "firmware/scale/causes.h"

/// Every cause in plain words, for people who stand beside the scale.
namespace cornerbench::field {

/// Work in which somebody or something can come to harm.
enum class Caution : unsigned char {
    jacking,  ///< lifting a deck
    under_deck,
    pinching,  ///< hands near a cell or a link
    mains,
    welding,
    lightning,
    seals
};

inline constexpr int caution_count = 7;

/// What to mind, in one or two sentences, and the name that JSON has for it.
std::string_view text_of(Caution caution);
std::string_view name_of(Caution caution);

/// One cause as the catalogue tells it, in sentences.
struct CauseEntry {
    std::string_view brief;           ///< a few words
    std::string_view what;            ///< what it is and how it comes about
    std::string_view corner_weights;  ///< what it does to them
    std::string_view shown_by;        ///< the reading that tells it from others
    std::string_view remedy;
    std::span<const Caution> cautions;
};

const CauseEntry& entry_of(scale::Cause cause);

}  // namespace cornerbench::field
