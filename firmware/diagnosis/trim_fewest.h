#pragma once

#include <array>

#include "firmware/diagnosis/trim_spread.h"

namespace cornerbench::diagnosis {

/// Settings that touch as few trims as the readings ask for.
/// `at` and `per_log_gain` are meant only where some were `found`.
struct FewestChanges {
    bool found = false;
    std::array<bool, scale::max_cells> stays{};
    int stay_count = 0;
    PerCell at{};  ///< of every trim; the present one where it stays
    /// Change of each setting per unit of each cell's logarithmic gain; row = setting.
    CellMatrix per_log_gain{};
};

/// Leaves alone as many trims as possible, at least `least_stay`: those whose corners already differ by no
/// more than `readings_alone`, brought to their number, feigns between equal corners. All others come to the
/// mean of these, as far as their trims reach; not found where none do. The model must stand at the present
/// settings of a box with trims, and is left at the result, or, where there is none, as it was.
FewestChanges find_fewest_changes(CornerModel& model, const CornerSlopes& slopes,
                                  const Spread& readings_alone, double reference_kg, double extra_N,
                                  int least_stay);

}  // namespace cornerbench::diagnosis
