#pragma once

#include <array>
#include <span>

#include "firmware/diagnosis/diagnose.h"
#include "firmware/diagnosis/evidence.h"
#include "firmware/diagnosis/load_history.h"
#include "firmware/diagnosis/rows.h"
#include "firmware/numbers/arena.h"

namespace cornerbench::diagnosis {

/// Everything that one pass over a sheet needs, set up in the caller's memory.
struct SheetBench {
    LoadHistory history;
    Rows rows;
    Predictor* predictor = nullptr;
    Likelihood* likelihood = nullptr;
    EvidenceIntegral* evidence = nullptr;
};

/// Readings that a pass does without.
using Ignored = std::array<bool, max_readings>;

/// The readings that a diagnosis has set aside as wild.
Ignored without(std::span<const WildReading> set_aside);

/// Null when the memory does not do. What it points to lives in `arena`; nothing is prepared yet.
SheetBench* set_up_bench(numbers::Arena& arena, const scale::Description& description, const Sheet& sheet,
                         const Scatter& scatter, const Ignored& ignored);

}  // namespace cornerbench::diagnosis
