#pragma once

#include <optional>
#include <string>

#include "firmware/diagnosis/reading.h"
#include "sim/files/sheet_file.h"
#include "sim/files/table_view.h"

namespace cornerbench::files {

/// Half the distance between the wheel tracks of a vehicle, m: heavy road vehicles are 2.5 m wide over their
/// tyres (common practice, no source). On a narrower deck the wheels stand on the rows of supports.
inline constexpr double half_track_m = 1.0;

/// What stands on the deck, as a sheet says it.
struct PlacedLoad {
    diagnosis::Load load;
    std::string text;  ///< "empty", "10 000 kg over 3", "tipper with its front axle at 12 m"
};

/// Reads the load under `key` of `reading`; nothing, with errors reported, when it cannot stand there.
/// `scale` is null while the scale file is unusable: then places are not checked.
std::optional<PlacedLoad> read_load(const TableView& reading, std::string_view key, const ScaleFile* scale,
                                    const SheetSources& sources);

}  // namespace cornerbench::files
