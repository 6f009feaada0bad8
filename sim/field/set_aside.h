#pragma once

#include <vector>

#include "firmware/diagnosis/diagnose.h"

namespace cornerbench::field {

/// Readings, by their index on the sheet, that the diagnosis took for wild.
inline std::vector<int> set_aside(const diagnosis::Outcome& outcome) {
    std::vector<int> readings;
    for (int w = 0; w < outcome.wild_count; ++w) {
        readings.push_back(outcome.wild[static_cast<unsigned>(w)].reading);
    }
    return readings;
}

}  // namespace cornerbench::field
