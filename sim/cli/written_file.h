#pragma once

#include <string>

namespace cornerbench::cli {

/// Writes `text` to the file at `path`, over what is there; a refusal of the host ends the command.
void write_or_stop(const std::string& path, const std::string& text);

/// The same, but over nothing other than what begins as `text` does: an earlier picture, table or part is
/// renewed, somebody's scale is left alone.
void renew_or_stop(const std::string& path, const std::string& text);

/// Writes as the first does, in one step: whatever happens the file holds the old text or the new. What is no
/// file, such as a pipe, is written to as it is.
void replace_or_stop(const std::string& path, const std::string& text);

}  // namespace cornerbench::cli
