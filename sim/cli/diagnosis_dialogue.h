#pragma once

#include <string>

#include "sim/cli/session.h"
#include "sim/files/priors_file.h"

namespace cornerbench::cli {

/// Diagnoses the sheet at `path`, proposes what to read next with what each outcome would mean, takes the
/// reading from the session's input, appends it to the sheet, and goes on until the user ends it, nothing
/// tells more, or the input ends. The sheet on disk is at every moment whole.
Exit hold_diagnosis_dialogue(const std::string& path, const std::string& priors_path,
                             const std::string& minutes_path, Session& session);

}  // namespace cornerbench::cli
