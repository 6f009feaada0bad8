#pragma once

#include <ostream>

#include "sim/live/live_scale.h"
#include "sim/report/json_document.h"
#include "sim/report/style.h"

/// What a live scale shows while it runs. Each of these returns once its time is over, the quit key was
/// pressed, a signal asked it to end or the panel's terminal hung up.
namespace cornerbench::live {

/// Ports and paths, for a script.
report::Json ready_json(LiveScale& live);

/// Nothing on the screen.
void run_quietly(LiveScale& live);

/// A line for everything that happens and every weight that comes to rest.
void run_with_lines(LiveScale& live, std::ostream& out);

/// A panel of 80 columns and 24 lines on the terminal at standard output, which is left as it was.
void run_panel(LiveScale& live, const report::Style& style);

}  // namespace cornerbench::live
