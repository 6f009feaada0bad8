#pragma once

#include <ostream>

#include "sim/field/trim_plan.h"
#include "sim/files/scale_file.h"
#include "sim/report/style.h"

namespace cornerbench::report {

/// The plan as a technician takes it to the box: what comes of it, every setting, the round with what the
/// display must show at each stop, and what to mind.
void print_trim_plan(std::ostream& out, const field::TrimPlan& plan, const files::ScaleFile& scale,
                     const Style& style);

}  // namespace cornerbench::report
