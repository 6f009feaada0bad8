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

/// Everything a scale file says: the core's description, and what only people and reports need.
struct ScaleFile {
    std::string path;  ///< as given to the loader
    std::string name;
    std::string standard;        ///< "OIML R 76", "NIST Handbook 44" or "in-plant"
    std::string accuracy_class;  ///< "III", "IIII" or "III L"
    scale::Description description;
    std::array<WireColours, scale::max_cells> colours{};  ///< by support
};

/// Reads the file at `path`. All errors of the file are reported at once, save that text which is no TOML
/// stops at its first error.
Loaded<ScaleFile> load_scale(const std::string& path);

/// The same from text in memory; `path` only names it in errors.
Loaded<ScaleFile> parse_scale(std::string_view text, const std::string& path);

}  // namespace cornerbench::files
