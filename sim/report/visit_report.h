#pragma once

#include <ostream>
#include <string>

#include "sim/field/visit_trial.h"
#include "sim/report/style.h"

namespace cornerbench::report {

void print_visits(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                  const field::VisitTrial& trial, const Style& style);

/// {"schema": 1, "scale", "visits", "seed", "saved", "plan": {"minutes": {"least", "lower_quartile",
/// "median", "upper_quartile", "most"}, "checks", "right", "sure", "sure_and_wrong"}, "textbook": {...},
/// "causes": [{"name", "drawn", "plan": {...}, "textbook": {...}}, ...]}; shares of the visits.
void print_visits_json(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                       const field::VisitTrial& trial);

}  // namespace cornerbench::report
