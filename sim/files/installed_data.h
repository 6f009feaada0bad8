#pragma once

#include <filesystem>

namespace cornerbench::files {

/// The folder with the shipped scales, vehicles, standards and lessons: beside wherever the program was
/// installed, else `configs` of the tree it was built in, else where it was configured to be. It need not
/// exist.
std::filesystem::path installed_data();

}  // namespace cornerbench::files
