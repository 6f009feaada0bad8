#pragma once

#include <nlohmann/json.hpp>

#include "sim/field/trim_plan.h"

namespace cornerbench::report {

/// The plan for programs: masses in the scale's unit, corners counted from 1, trims in turns, ohms or as
/// digital gains. Settings and steps stand there only when there is something to do.
nlohmann::ordered_json to_json(const field::TrimPlan& plan);

}  // namespace cornerbench::report
