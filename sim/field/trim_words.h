#pragma once

#include "sim/field/trim_plan.h"

namespace cornerbench::field {

/// Puts the plan's outcome and advice into words.
void describe(TrimPlan& plan, const TrimPlanOptions& options);

}  // namespace cornerbench::field
