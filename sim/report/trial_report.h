#pragma once

#include <ostream>
#include <string>

#include "sim/field/trial.h"
#include "sim/report/style.h"

namespace cornerbench::report {

void print_trial(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                 const field::Trial& trial, const Style& style);

/// {"schema": 1, "scale", "sheets", "seed", "failed", "on_top", "in_top_three", "in_top_group", "bits",
/// "faults", "misses", "plain_faults", "plain_answers", "mistyped" (with `wild` only), "brier",
/// "calibration_error", "causes": [{"name", ..., "mistaken_for": {cause: times}}, ...], "reliability":
/// [...]}; shares of the sheets that were answered. Of sound scales alone also "false_alarms": {"sheets",
/// "first", "share", "low", "high", "sure", "kinds": [{"name", ...}, ...]}.
void print_trial_json(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                      const field::Trial& trial);

}  // namespace cornerbench::report
