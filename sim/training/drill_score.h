#pragma once

#include <functional>
#include <span>

#include "sim/field/visit.h"
#include "sim/training/drill.h"

/// How well somebody did in a drill, beside the best plan of the diagnosis on the same scale.
namespace cornerbench::training {

/// 60 points for the cause, 25 for minutes, 15 for steps without a needless one; less 15 for each wrong call,
/// 5 for each hint or call that comes too early, and 3 for each needless step. A cause that was guessed has
/// 30 in place of those. None without the cause.
struct DrillScore {
    int points = 0;  ///< 0 to 100
    bool right = false;
    double minutes = 0.0;
    int steps = 0;
    std::vector<int> needless;  ///< indices of steps that could tell next to nothing when they were taken
    field::VisitOutcome plan;   ///< what the proposed checks come to on the same scale
    bool guessed = false;       ///< right, and what was read does not bear it out
};

/// What is to be scored: readings in the order in which they were taken, those of the complaint first.
struct DrillRecord {
    const scale::Description& description;
    const diagnosis::Sheet& sheet;
    int complaint_readings = 0;
    std::span<const Step> steps;
    double minutes = 0.0;
    std::span<const scale::Fault> hidden;
    const DrillSetting& setting;
    int hints = 0;
    int wrong_calls = 0;
    bool guessed = false;
};

/// Thinks about every step: seconds. `progress`, when given, hears how many steps are done.
DrillScore score_of(const DrillRecord& record, bool right, const std::function<void(int)>& progress = {});
/// The same of a drill that has just ended so.
DrillScore score_of(Drill& drill, CallEnd end, const std::function<void(int)>& progress = {});

}  // namespace cornerbench::training
