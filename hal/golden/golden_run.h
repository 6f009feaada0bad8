#pragma once

#include <cstdint>
#include <span>

#include "hal/recorded/replayed_board.h"

/// One recording run by the firmware, wherever that is, and told so that two machines can be compared.
namespace cornerbench::golden {

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

/// Runs it and writes the trace, line after line, as hal/recorded/FORMAT.md has it under "Traces".
ReplayEnd run_replay(const ReplayBench& bench, const TraceWish& wish);

}  // namespace cornerbench::golden
