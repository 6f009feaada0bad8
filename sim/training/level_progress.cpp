#include "sim/training/level_progress.h"

namespace cornerbench::training {

namespace {

constexpr int found_in_a_row = 2;

}  // namespace

LevelProgress level_progress(std::span<const LevelDone> drills) {
    LevelProgress progress;
    for (int level = 1; level <= level_count; ++level) {
        LevelTally& tally = progress.of[static_cast<unsigned>(level - 1)];
        int in_a_row = 0;
        double sum = 0.0;
        for (const LevelDone& drill : drills) {
            if (drill.level != level) continue;
            ++tally.done;
            tally.found += drill.right ? 1 : 0;
            in_a_row = drill.right ? in_a_row + 1 : 0;
            sum += drill.points;
        }
        if (tally.done == 0) continue;
        tally.mean_points = sum / tally.done;
        progress.next = in_a_row >= found_in_a_row && level < level_count ? level + 1 : level;
    }
    return progress;
}

}  // namespace cornerbench::training
