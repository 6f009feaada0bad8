#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/scale/units.h"
#include "sim/files/range.h"
#include "sim/files/scale_file.h"

/// The keys of a scale file in one table. Parsing, the check for unknown keys, defaults, limits and the
/// printed documentation all follow from it.
namespace cornerbench::files {

/// What a key takes as its value.
enum class KeyKind : unsigned char {
    number,
    integer,
    choice,  ///< one of `words`
    text,
    mass,       ///< in the file's own unit; its range is in kg
    conductor,  ///< "22 AWG" or "0.5 mm2"
    positions   ///< a list of numbers, each larger than the one before
};

/// A scale file while it is being read: the file, and the cell that the current table speaks of.
struct ScaleDraft {
    ScaleFile file;
    scale::Cell cell;
    WireColours colours;
    double gravity_latitude_deg = 0.0;
    double gravity_height_m = 0.0;
    int cell_number = 0;
};

/// How a key's value reaches the draft, in SI. Choices are the index of their word.
struct KeyField {
    double (*get)(const ScaleDraft&) = nullptr;
    void (*set)(ScaleDraft&, double) = nullptr;
    std::string& (*text)(ScaleDraft&) = nullptr;  ///< instead of the other two: text, and words kept as text
};

/// One key: its place, what it takes, within which range, and what it means.
struct ScaleKey {
    /// "" (top level), "deck", "box.trim", ...; "cells" holds what only [[cells]] has.
    std::string_view table{};
    std::string_view name{};
    KeyKind kind = KeyKind::number;
    std::string_view unit{};  ///< as the name says it; empty for words, counts and masses
    double si_per_unit = 1.0;
    Range range{};
    std::array<std::string_view, 3> words{};  ///< of a choice, or the only valid integers
    bool required = false;
    /// Replaces the default that the core's structs have, where the loader chooses another.
    std::string_view default_note{};
    KeyField field{};
    std::string_view meaning{};
    /// Works only where time passes: a scale that stands still, as every command computes it, leaves it out.
    bool in_time_only = false;
};

/// Least distance between two section lines.
inline constexpr double least_section_distance_m = 0.1;

std::span<const ScaleKey> scale_keys();

/// The words of a choice, or the only valid integers, without the table's empty places.
std::vector<std::string_view> words_of(const ScaleKey& key);

/// Default as it would be written in a file, such as `"summed"` or `0.3255 mm2`; "required" where there is
/// none.
std::string default_text(const ScaleKey& key);

/// What the key says, and whether a scale that stands still leaves it out.
std::string meaning_text(const ScaleKey& key);

/// What is valid, such as "at least 0.1 and at most 12 (m)" or `one of "kg", "t", "lb"`.
std::string valid_text(const ScaleKey& key, scale::MassUnit unit = scale::MassUnit::kilogram);

/// The whole table for people, as text in 80 columns.
std::string scale_keys_text();

}  // namespace cornerbench::files
