#pragma once

#include <map>
#include <string>

#include "sim/files/standard_file.h"

namespace cornerbench::cli {

/// What makes a recording complete in itself: who made it and what happened there, in the words of `made`,
/// and the files of the scale and its standard. A file that cannot be read again ends the command.
std::map<std::string, std::string> recording_notes_or_stop(const std::string& made,
                                                           const std::string& scale_path,
                                                           const files::Standard& standard);

}  // namespace cornerbench::cli
