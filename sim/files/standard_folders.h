#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

/// Where the files of standards lie.
namespace cornerbench::files {

/// The one shipped file here that is of cells and not of scales.
inline constexpr std::string_view cell_standard_file_name = "oiml-r60.toml";

/// Folders where standards may lie: `standards/` and `configs/standards/` beside `scale_path` and in every
/// folder above it, the nearest first, and the installed one last.
std::vector<std::filesystem::path> standard_folders(const std::string& scale_path);

/// The nearest file called `file_name` in those folders; nothing without one.
std::optional<std::string> nearest_standard_file(std::string_view file_name, const std::string& scale_path);

/// Text of a standard's file as it was when the program was built; empty for an unknown file name.
std::string_view compiled_in_standard(std::string_view file_name);

}  // namespace cornerbench::files
