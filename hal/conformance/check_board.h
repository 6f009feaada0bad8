#pragma once

#include "hal/conformance/clock_checks.h"
#include "hal/conformance/converter_checks.h"
#include "hal/conformance/line_checks.h"
#include "hal/conformance/memory_checks.h"
#include "hal/conformance/panel_checks.h"
#include "hal/conformance/supervisor_checks.h"

namespace cornerbench::hal {

/// Holds a board to everything that the headers in hal/ promise. It erases the memory and ends with a power
/// cut and a watchdog reset: never run it on a board that holds a calibration somebody needs.
inline void check_board(Rig& rig, Findings& findings) {
    check_clock(rig, findings);
    check_converter(rig, findings);
    check_line(rig, findings);
    check_panel(rig, findings);
    check_memory(rig, findings);
    check_supervisor(rig, findings);
}

}  // namespace cornerbench::hal
