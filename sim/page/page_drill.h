#pragma once

#include <optional>

#include "sim/field/check_minutes.h"
#include "sim/page/bench.h"
#include "sim/training/against.h"
#include "sim/training/call_verdict.h"
#include "sim/training/drill_score.h"

/// The bench as a drill: minutes of what is read, hints, what speaks against a wrong name, and the score.
///
/// Weights that are read before anything else are the complaint: what the owner called with costs no minutes.
namespace cornerbench::page {

/// The readings that count, with what is known of their zero.
diagnosis::Sheet sheet_of(std::span<const diagnosis::Reading> readings, bool zeroed_since);

/// The minutes of a drill: the complaint's readings, which cost none, then what each step took.
struct DrillClock {
    int complaint_readings = 0;
    std::vector<training::Step> steps;
    double minutes = 0.0;
    field::Workplace from;  ///< what stands ready after all of it; the complaint leaves nothing
};

/// With what the meter's probes took between them.
DrillClock clock_of(std::span<const diagnosis::Reading> readings, std::span<const Bench::Probed> probed = {});
/// Minutes of holding the probes on two terminals now; nothing when there are none such.
std::optional<double> probe_minutes(const Bench& bench, double terminal_a, double terminal_b);

/// What would tell most per minute now; nothing where the readings do not go together.
std::optional<training::Hint> hint_for(const scale::Description& description, const diagnosis::Sheet& sheet);

/// What speaks most against one cause at one place, if something does. As `Bench::named`.
std::optional<training::Against> against(const scale::Description& description, const diagnosis::Sheet& sheet,
                                         int cause, int site);

/// What a word about causes at their places is worth in a drill, with everything that was read so far.
/// `number` as in a deed of kind `call`; nothing when it names what this scale cannot have.
std::optional<training::CallVerdict> verdict_of(const Bench& bench,
                                                const std::array<double, max_deed_numbers>& number);

/// Thinks about every reading and does the planned visit: seconds.
training::DrillScore score_of(const Bench& bench, const diagnosis::Sheet& sheet, bool right, int hints,
                              int wrong_calls);

}  // namespace cornerbench::page
