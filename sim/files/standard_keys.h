#pragma once

#include <string>
#include <vector>

#include "sim/files/key_text.h"

/// The schema of a standard's file: which keys it may have. The check for unknown keys and the printed
/// documentation follow from it.
namespace cornerbench::files {

/// By table: "" at the top, "stages" for each of its two, "class" for each [[class]], "class.bands", ...
const std::vector<PlainKey>& standard_keys();

/// The keys of a standard's file for people, as text in 80 columns.
std::string standard_keys_text();

}  // namespace cornerbench::files
