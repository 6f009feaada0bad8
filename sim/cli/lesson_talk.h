#pragma once

#include <string>

#include "sim/cli/exit_codes.h"
#include "sim/cli/session.h"
#include "sim/field/check_minutes.h"
#include "sim/files/lesson_file.h"

namespace cornerbench::cli {

/// A lesson at a line of text each, from a terminal or from a script, until its last task is done. The result
/// is added to the file at `progress_path`, if that names one.
Exit hold_lesson(const files::LessonFile& lesson, const field::CheckMinutes& minutes,
                 const std::string& progress_path, Session& session);

}  // namespace cornerbench::cli
