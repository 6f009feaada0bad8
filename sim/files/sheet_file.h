#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "sim/files/file_error.h"
#include "sim/files/scale_file.h"
#include "sim/files/vehicle_file.h"

namespace cornerbench::files {

/// Where a reading stands in its file, and how a person would call it.
struct ReadingNote {
    int line = 0;
    std::string text;  ///< such as "weight, 10 000 kg over 3" or "signal of cell 3, lifted, empty"
};

/// The reading sheet: what a technician read on site, and on which scale. Its keys stand in sheet_keys.h.
struct SheetFile {
    std::string path;
    ScaleFile scale;
    std::vector<diagnosis::Reading> readings;  ///< may be empty: then only the priors speak
    std::vector<ReadingNote> notes;            ///< one per reading
    diagnosis::Instruments instruments;
    diagnosis::Zeroed zeroed = diagnosis::Zeroed::before;
    diagnosis::History history = diagnosis::History::calibrated;

    /// What the core's diagnosis takes. Valid as long as this file's readings are.
    diagnosis::Sheet sheet() const { return {readings, instruments, zeroed, history}; }
};

/// Where a sheet gets what it names. Each is handed the text as it stands in the sheet.
struct SheetSources {
    std::function<Loaded<ScaleFile>(const std::string& scale)> scale;
    std::function<Loaded<Vehicle>(const std::string& vehicle)> vehicle;
};

/// Sources for a sheet that lies in `folder`: a scale or a vehicle's path counts from there. A vehicle
/// without `.toml` is a name, looked for as `vehicles/NAME.toml` and `configs/vehicles/NAME.toml` in `folder`
/// and in each folder above it, then where the program is installed.
SheetSources sources_beside(const std::string& folder);

/// Names of all vehicles that a file in `folder` could name, in the order of the alphabet.
std::vector<std::string> vehicles_near(const std::string& folder);

/// Reads the sheet at `path` and the files it names. All errors of all these files are reported at once.
Loaded<SheetFile> load_sheet(const std::string& path);

/// The same from text in memory; `path` only names it in errors.
Loaded<SheetFile> parse_sheet(std::string_view text, const std::string& path, const SheetSources& sources);

}  // namespace cornerbench::files
