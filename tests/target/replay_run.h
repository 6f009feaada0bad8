#pragma once

#include <cstdint>
#include <span>

#include "hal/recorded/replayed_board.h"

/// One recording run by the firmware, wherever that is, and told so that two machines can be compared.
namespace cornerbench::target {

/// Which steps are told of: every `every`-th, and each one from `first` to `last`.
struct TraceWish {
    std::uint64_t every = 100;
    std::uint64_t first = 1;
    std::uint64_t last = 0;
    bool cost = false;  ///< of the steps, at the end
};

/// What somebody who runs a recording has to give.
struct ReplayBench {
    hal::TextSource& recording;
    hal::TextSink& trace;
    std::span<const std::uint8_t> settings;  ///< a block: firmware/indicator/settings_block.h
    std::uint32_t (*ticks)() =
        nullptr;  ///< of a counter that goes with the instructions; null: there is none
};

/// Exit codes of the programs around it.
enum class ReplayEnd : std::uint8_t {
    same = 0,       ///< to the recording's end, with its state hash
    different = 1,  ///< the firmware gave something else than was recorded
    no_run = 3      ///< settings or recording are unusable
};

/// Runs it and writes the trace, line after line:
///
///     STEP TIME_US HASH WHY DIGITS RATIO      the state after a step; hash and ratio as hexadecimal bits
///     > STEP BYTES                            what went out on the line in that step, in quotes
///     start CAUSE                             the board started anew
///     end STATE STEP HASH                     how it ended
///     recorded CALL, came CALL                after `end different`
///     cost MEAN LARGEST STEP SECOND           where it was asked for: ticks of a step without its ports, in
///     which step
///                                             the largest was, and the largest of all steps but those that
///                                             answered on the line or started
ReplayEnd run_replay(const ReplayBench& bench, const TraceWish& wish);

}  // namespace cornerbench::target
