#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>

#include "firmware/scale/units.h"
#include "sim/files/scale_file.h"

/// The keys of a scale file in one table. Parsing, the check for unknown keys, defaults, limits and the
/// printed documentation all follow from it.
namespace cornerbench::files {

enum class KeyKind : unsigned char {
    number,
    integer,
    choice,  ///< one of `words`
    text,
    mass,       ///< in the file's own unit; its range is in kg
    conductor,  ///< "22 AWG" or "0.5 mm2"
    positions   ///< a list of numbers, each larger than the one before
};

/// Valid numbers, both ends included; `or_zero` admits 0 below `low`.
struct Range {
    double low = 0.0;
    double high = 0.0;
    bool or_zero = false;

    bool holds(double number) const;
};

/// A scale file while it is being read: the file, and the cell that the current table speaks of.
struct ScaleDraft {
    ScaleFile file;
    scale::Cell cell;
    WireColours colours;
    double gravity_latitude_deg = 0.0;
    double gravity_height_m = 0.0;
    int cell_number = 0;
    std::array<double, scale::max_sections> section_x_m{};
};

/// How a key's value reaches the draft, in SI. Choices are the index of their word.
struct KeyField {
    double (*get)(const ScaleDraft&) = nullptr;
    void (*set)(ScaleDraft&, double) = nullptr;
    std::string& (*text)(ScaleDraft&) = nullptr;  ///< instead of the other two: text, and words kept as text
};

struct ScaleKey {
    std::string_view
        table;  ///< "" (top level), "deck", "box.trim", ...; "cells" holds what only [[cells]] has
    std::string_view name;
    KeyKind kind = KeyKind::number;
    std::string_view unit;  ///< as the name says it; empty for words, counts and masses
    double si_per_unit = 1.0;
    Range range;
    std::array<std::string_view, 3> words{};  ///< of a choice, or the only valid integers
    bool required = false;
    std::string_view
        default_note;  ///< replaces the default read from the core's structs where that would mislead
    KeyField field;
    std::string_view meaning;
};

std::span<const ScaleKey> scale_keys();

/// Default as it would be written in a file, such as `"summed"` or `0.3255 mm2`; "required" where there is
/// none.
std::string default_text(const ScaleKey& key);

/// What is valid, such as "at least 0.1 and at most 12 (m)" or `one of "kg", "t", "lb"`.
std::string valid_text(const ScaleKey& key, scale::MassUnit unit = scale::MassUnit::kilogram);

/// The whole table for people, as text in at most 110 columns.
std::string scale_keys_text();

}  // namespace cornerbench::files
