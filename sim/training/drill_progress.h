#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "sim/files/file_error.h"

/// The drills that somebody has done, in the order they were done.
///
///     [[drill]]
///     on = "2026-11-29"
///     scale = "Quarry weighbridge"
///     level = 2
///     seed = 7
///     right = true
///     points = 84
///     minutes = 21.0
///     plan_minutes = 14.0
///
/// A lesson has its name under `lesson` and no level.
namespace cornerbench::training {

/// One drill or lesson that was done, and how.
struct DoneDrill {
    std::string on;  ///< year, month, day
    std::string scale;
    int level = 1;
    std::uint64_t seed = 1;
    bool right = false;
    int points = 0;
    double minutes = 0.0;
    double plan_minutes = 0.0;
    std::string lesson{};  ///< its name; empty for a drill by level
};

/// An empty list for a file that is not there yet.
files::Loaded<std::vector<DoneDrill>> load_progress(const std::string& path);
files::Loaded<std::vector<DoneDrill>> parse_progress(std::string_view text, const std::string& path);

/// One drill as it stands in the file, from an empty line on.
std::string progress_block(const DoneDrill& drill);

/// "Level 1: 3 of 4 found, 71 points on average. Next: level 2." Two found in a row call for the next level.
std::string progress_words(std::span<const DoneDrill> drills);

}  // namespace cornerbench::training
