#pragma once

#include <array>
#include <span>

#include "sim/training/drill_level.h"

namespace cornerbench::training {

/// A drill that was done.
struct LevelDone {
    int level = 1;
    bool right = false;
    int points = 0;
};

/// The drills of one level: how many were done, how many causes were found, points on average.
struct LevelTally {
    int done = 0;
    int found = 0;
    double mean_points = 0.0;
};

/// How somebody stands on every level, and which one to try next.
struct LevelProgress {
    std::array<LevelTally, level_count> of{};  ///< level 1 first
    int next = 1;                              ///< two found in a row call for the next level
};

/// Of drills in the order they were done.
LevelProgress level_progress(std::span<const LevelDone> drills);

}  // namespace cornerbench::training
