#pragma once

#include <ostream>

#include "sim/report/style.h"
#include "sim/report/trim_words.h"

namespace cornerbench::report {

/// The plan as a technician takes it to the box: what comes of it, every setting, the round with what the
/// display must show at each stop, and what to mind.
void print_trim_plan(std::ostream& out, const TrimPage& page, const Style& style);

}  // namespace cornerbench::report
