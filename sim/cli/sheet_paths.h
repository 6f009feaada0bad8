#pragma once

#include <string>

namespace cornerbench::cli {

/// Path of the scale's file `scale` as a sheet at `output` must name it; as it is for an empty `output`.
std::string path_from_sheet(const std::string& scale, const std::string& output);

/// A sheet may hold an hour's work: none is lost to a path given twice. Stops when `path` is a file.
void spare_or_stop(const std::string& path);

}  // namespace cornerbench::cli
