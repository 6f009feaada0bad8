#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <toml++/toml.h>

#include "sim/files/scale_keys.h"

/// One number of a scale file, named on a command line.
namespace cornerbench::files {

/// A key with its place: `home_run.length_m`, `cell.capacity` of every cell, `cell.3.capacity` of cell 3,
/// `deck.section_x_m.2` of the second section line, `max`. A conductor's number is its area in mm2.
struct NumericKey {
    std::string path;
    const ScaleKey* key = nullptr;
    int cell = 0;     ///< from 1; 0: not of one cell
    int element = 0;  ///< of a list, from 1; 0: no list

    /// "m", "mV/V"; the file's own for a mass, empty where a number has none.
    std::string unit(scale::MassUnit mass) const;
};

/// None for a path that is no number of a scale file.
std::optional<NumericKey> find_numeric_key(std::string_view path);

/// What to say of a path that is none: "nearest: cable.length_m or home_run.length_m"; empty when none is
/// near.
std::string nearest_numeric_key(std::string_view path);

/// Puts `value` under the key, in place of what stands there; a cell that has no table of its own gets one.
void put_number(const NumericKey& key, double value, toml::table& root);

/// The scale of `text` with `value` under that key, held to the same rules as a file that says so.
Loaded<ScaleFile> parse_scale_with(std::string_view text, const std::string& path, const NumericKey& key,
                                   double value);

}  // namespace cornerbench::files
