#pragma once

#include <ostream>
#include <string>

#include "sim/field/observer_trial.h"
#include "sim/report/style.h"

namespace cornerbench::report {

void print_observer(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                    const field::ObserverTrial& trial, const Style& style);

/// {"schema": 1, "scale", "sheets", "seed", "failed", "diagnosis": SCORES, "ideal": SCORES}, with SCORES
/// {"on_top", "in_top_three", "in_top_group", "misses", "false_alarms", "brier", "calibration_error",
/// "bits"}: shares of the sheets answered, of the faults, and of the sound scales.
void print_observer_json(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                         const field::ObserverTrial& trial);

}  // namespace cornerbench::report
