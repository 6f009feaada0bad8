#pragma once

#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace cornerbench::cli {

/// Adds `--force`: without it a command writes over no file that is there, by `spare_or_stop`.
void add_force(CLI::App& command, bool& force);

/// An earlier file may hold an hour's work, or be somebody's scale: none is lost to a path given twice, or to
/// a wrong one. Stops when `path` is a file; to be asked before the work is done.
void spare_or_stop(const std::string& path);

/// The same of all files that one command writes, without `force`; and with it, too, none may be named twice.
void spare_or_stop(const std::vector<std::string>& paths, bool force);

/// Writes `text` to the file at `path`, over what is there; a refusal of the host ends the command.
void write_or_stop(const std::string& path, const std::string& text);

/// The same, in one step: whatever happens the file holds the old text or the new. What is no file, such as a
/// pipe, is written to as it is.
void replace_or_stop(const std::string& path, const std::string& text);

}  // namespace cornerbench::cli
