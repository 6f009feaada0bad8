#pragma once

#include "hal/clock.h"
#include "hal/converter.h"
#include "hal/line.h"
#include "hal/memory.h"
#include "hal/panel.h"
#include "hal/supervisor.h"

/// Everything the firmware sees of the hardware. To put the firmware on a board, write these six classes and
/// hold them to the conformance suite.
namespace cornerbench::hal {

/// References only: the parts belong to whoever builds the board and have to outlive the firmware.
struct Board {
    Clock& clock;
    Converter& converter;
    Memory& memory;
    Line& line;
    Panel& panel;
    Supervisor& supervisor;
};

}  // namespace cornerbench::hal
