#pragma once

#include <string>

namespace cornerbench::cli {

/// Path of the scale's file `scale` as a sheet at `output` must name it; as it is for an empty `output`.
std::string path_from_sheet(const std::string& scale, const std::string& output);

}  // namespace cornerbench::cli
