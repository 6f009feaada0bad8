#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/scale/causes.h"
#include "sim/cli/session.h"
#include "sim/files/cell_standard_file.h"
#include "sim/files/lesson_file.h"
#include "sim/files/minutes_file.h"
#include "sim/files/priors_file.h"
#include "sim/files/scale_file.h"
#include "sim/files/session_file.h"
#include "sim/files/sheet_file.h"
#include "sim/files/standard_file.h"
#include "sim/files/test_sheet.h"
#include "sim/files/tolerances_file.h"
#include "sim/files/toml_text.h"
#include "sim/files/trial_file.h"
#include "sim/training/drill_progress.h"

/// Files and words that commands are given. Each of these logs warnings, and on an error ends the command
/// with the exit code that the error calls for.
namespace cornerbench::cli {

/// The bytes of a file of at most `most_bytes`.
std::string text_or_stop(const std::string& path, std::size_t most_bytes = files::largest_file_bytes);

files::ScaleFile load_scale_or_stop(const std::string& path);
files::ScaleFile parse_scale_or_stop(std::string_view text, const std::string& path);
files::Standard parse_standard_or_stop(std::string_view text, const std::string& path);
files::SheetFile load_sheet_or_stop(const std::string& path);
files::LessonFile load_lesson_or_stop(const std::string& path);
files::TestSheet load_test_sheet_or_stop(const std::string& path);
files::SessionFile load_session_or_stop(const std::string& path, const files::ScaleFile& scale);

/// A vehicle's file, or the name of one that lies where a sheet beside the scale's file would find it.
files::Vehicle load_vehicle_or_stop(const std::string& path, const std::string& scale_path);
files::TrialPart load_trial_part_or_stop(const std::string& path);

/// The priors of the file at `path`, or the default ones for an empty path.
files::Priors priors_or_stop(const std::string& path, const scale::Description& description);

/// The minutes of the file at `path`, or the usual ones for an empty path.
field::CheckMinutes minutes_or_stop(const std::string& path);

/// The tolerances of the file at `path`, or the usual ones for an empty path.
field::PartTolerances tolerances_or_stop(const std::string& path);

/// The drills done so far, none while there is no such file.
std::vector<training::DoneDrill> load_progress_or_stop(const std::string& path);

/// The standard that the scale's file names, or the one `asked` for: a file or a name, as --standard has it.
files::Standard standard_or_stop(const files::ScaleFile& scale, const std::string& asked = {});

/// The cells' standard that the scale's file names, or else `standard`; none when neither does.
std::optional<files::CellStandard> cell_standard_or_stop(const files::ScaleFile& scale,
                                                         const files::Standard& standard);

/// A rate whose mains cannot be filtered out, or too few codes to a division, weigh wrong: said before.
void check_filter_or_stop(const files::ScaleFile& scale);

/// Faults from the words of `--with`.
std::vector<scale::Fault> faults_or_stop(const std::vector<std::string>& words,
                                         const scale::Description& description);

}  // namespace cornerbench::cli
