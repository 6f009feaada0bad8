#pragma once

#include <string>

#include "sim/cli/session.h"
#include "sim/field/trial.h"
#include "sim/files/trial_file.h"

/// What `trial` and `merge` have in common: the same question, the same bytes printed.
namespace cornerbench::cli {

field::TrialSetting setting_of(const files::TrialQuestion& question);

/// A picture of what has none ends the command.
void check_picture_or_stop(const files::TrialQuestion& question, const std::string& svg_path);

/// Prints a whole trial, and draws it into `svg_path` unless that is empty.
void print_trial_whole(const files::TrialPart& whole, const std::string& svg_path, Session& session);

inline constexpr const char* svg_help =
    "File for a picture: what was stated against what came true, or with --ranks the ranks";

}  // namespace cornerbench::cli
