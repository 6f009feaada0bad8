#pragma once

#include <filesystem>

namespace cornerbench::files {

/// The folder with the shipped scales, vehicles, standards and lessons of an installed program: beside
/// wherever the program was put, else where it was configured to be. It need not exist.
std::filesystem::path installed_data();

/// The same of a program that was built and not installed: `configs` of the tree around it; empty elsewhere.
std::filesystem::path source_data();

}  // namespace cornerbench::files
