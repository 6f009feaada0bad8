#pragma once

#include <string>
#include <vector>

#include "sim/files/sheet_load.h"

/// Loads in words on a command line, with the keys of a sheet: `mass=10000 over=3`, or `{ mass = 10000, over
/// = 3 }` as the sheet has it, or `empty`.
namespace cornerbench::files {

/// All of `words` standing on the deck together; none: an empty deck. Errors name the file "--load".
Loaded<PlacedLoad> read_load_words(const std::vector<std::string>& words, const ScaleFile& scale,
                                   const SheetSources& sources);

}  // namespace cornerbench::files
