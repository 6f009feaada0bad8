#pragma once

#include "hal/board.h"
#include "hal/simulated/simulated_clock.h"
#include "hal/simulated/simulated_converter.h"
#include "hal/simulated/simulated_line.h"
#include "hal/simulated/simulated_memory.h"
#include "hal/simulated/simulated_panel.h"
#include "hal/simulated/simulated_supervisor.h"

namespace cornerbench::hal {

/// What the parts of a simulated board are like, and when its clock begins.
struct SimulatedBoardParts {
    ConverterTraits converter;
    MemoryGeometry memory;
    MemoryTimes memory_times;
    Microseconds kick_within_us = 1'000'000;
    Microseconds start_us = 0;
};

/// Six simulated parts on one board. It is some 200 kB large: a member or a static rather than a local.
class SimulatedBoard final {
  public:
    explicit SimulatedBoard(const SimulatedBoardParts& parts = {})
        : clock(parts.start_us),
          converter(parts.converter),
          memory(clock, parts.memory, parts.memory_times),
          supervisor(parts.kick_within_us) {
        supervisor.start(parts.start_us, ResetCause::power_on);
    }
    SimulatedBoard(const SimulatedBoard&) = delete;
    SimulatedBoard& operator=(const SimulatedBoard&) = delete;

    /// What the firmware is given.
    Board board() { return {clock, converter, memory, line, panel, supervisor}; }

    /// Time goes on to `now`. True when the watchdog ran out on the way and has started the board anew: the
    /// firmware has to be made anew too.
    bool advance_to(Microseconds now) {
        clock.set(now);
        if (!supervisor.ran_out(clock.time_us())) return false;
        start(ResetCause::watchdog, 0);
        return true;
    }

    /// The board stops where it is and starts for this reason; `seed` decides what a memory operation under
    /// way leaves behind. The clock goes on.
    void start(ResetCause cause, std::uint64_t seed) {
        memory.cut_power(seed);
        converter.start();
        line.start();
        panel.start();
        supervisor.start(clock.time_us(), cause);
    }

    SimulatedClock clock;
    SimulatedConverter converter;
    SimulatedMemory memory;
    SimulatedLine line;
    SimulatedPanel panel;
    SimulatedSupervisor supervisor;
};

}  // namespace cornerbench::hal
