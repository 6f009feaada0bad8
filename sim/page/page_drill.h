#pragma once

#include <optional>

#include "sim/page/bench.h"
#include "sim/training/against.h"
#include "sim/training/drill_score.h"

/// The bench as a drill: minutes of what is read, hints, what speaks against a wrong name, and the score.
///
/// Weights that are read before anything else are the complaint: what the owner called with costs no minutes.
namespace cornerbench::page {

/// The readings that count, with what is known of their zero.
diagnosis::Sheet sheet_of(std::span<const diagnosis::Reading> readings, bool zeroed_since);

struct DrillClock {
    int complaint_readings = 0;
    std::vector<training::Step> steps;
    double minutes = 0.0;
};

DrillClock clock_of(std::span<const diagnosis::Reading> readings);

/// What would tell most per minute now; nothing where the readings do not go together.
std::optional<training::Hint> hint_for(const scale::Description& description, const diagnosis::Sheet& sheet);

/// What speaks most against one cause at one place, if something does. As `Bench::named`.
std::optional<training::Against> against(const scale::Description& description, const diagnosis::Sheet& sheet,
                                         int cause, int site);

/// Thinks about every reading and does the planned visit: seconds.
training::DrillScore score_of(const Bench& bench, const diagnosis::Sheet& sheet, bool right, int hints,
                              int wrong_calls);

}  // namespace cornerbench::page
