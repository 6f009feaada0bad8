#pragma once

#include <array>
#include <string>
#include <string_view>

#include "firmware/scale/description.h"
#include "firmware/scale/wire.h"
#include "sim/files/file_error.h"

/// The scale file: a scale as it should be. Its keys, units, defaults and limits stand in scale_keys.h.
namespace cornerbench::files {

/// Colour of each conductor of one cell's cable, in the order of `scale::Wire`; empty where the file is
/// silent. Makers disagree on which colour means what, so there is no default.
using WireColours = std::array<std::string, scale::wire_count>;

/// What the papers of cells and indicator say, for `cornerbench check`; 0 where the file is silent.
struct Certificates {
    std::string cell_standard;  ///< whose classes cells have; empty: the one that the scale's standard names
    std::string cell_class;     ///< as marked: "C3", or "C"
    double cell_intervals = 0.0;  ///< n_LC
    double cell_v_min_kg = 0.0;
    double cell_Y = 0.0;              ///< measuring range over v_min
    double cell_Z = 0.0;              ///< measuring range over twice the least dead load output return, DR
    double cell_share = 0.0;          ///< p_LC, of an instrument's limits of error
    double cell_least_load_kg = 0.0;  ///< Emin
    double indicator_intervals = 0.0;
    double indicator_least_V = 0.0;    ///< least signal per verification interval
    double indicator_least_ohm = 0.0;  ///< least load of the excitation supply
    double indicator_most_ohm = 0.0;
    double cable_m_per_mm2 = 0.0;  ///< longest home run per conductor area
};

/// What a deck is made of: how much it usually weighs.
enum class DeckKind : unsigned char { steel, concrete };

/// Everything a scale file says: the core's description, and what only people and reports need.
struct ScaleFile {
    std::string path;  ///< as given to the loader
    std::string name;
    std::string standard;        ///< "OIML R 76", "NIST Handbook 44" or "in-plant"
    std::string local_standard;  ///< name of the file of a code that holds instead; empty: none
    std::string accuracy_class;  ///< "III", "IIII" or "III L"
    scale::Description description;
    std::array<WireColours, scale::max_cells> colours{};  ///< by support
    Certificates certificates{};
    DeckKind deck_kind = DeckKind::steel;
};

/// Reads the file at `path`. All errors of the file are reported at once, save that text which is no TOML
/// stops at its first error.
Loaded<ScaleFile> load_scale(const std::string& path);

/// The same from text in memory; `path` only names it in errors.
Loaded<ScaleFile> parse_scale(std::string_view text, const std::string& path);

}  // namespace cornerbench::files
