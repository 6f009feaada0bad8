#pragma once

#include "firmware/diagnosis/trim_solver.h"

/// How far apart corners may still be, from everything that is not known exactly.
namespace cornerbench::diagnosis {

/// Corner weights over the load that stands there, one row per corner: relative change per unit of each
/// cell's logarithmic gain.
struct CornerSlopes {
    int n = 0;
    CellMatrix per_log_gain{};
};

/// What is not known when trims are set, as independent relative standard deviations.
struct TrimUnknowns {
    std::array<bool, scale::max_cells> stays{};   ///< trims that nobody turns
    const CellMatrix* gain_covariance = nullptr;  ///< of the cells' logarithmic gains
    PerCell setting{};                            ///< effect on its cell's gain of how near a trim can be set
    PerCell model{};    ///< error of the computed change of its cell's gain: resistances off their nominal
    PerCell display{};  ///< of the corner's weight, when it is read and set
};

/// Spread of corners that are all alike but for the errors of the readings that say so.
Spread spread_of_readings(const CornerSlopes& slopes, const TrimUnknowns& unknowns, double reference_kg);

/// What `all` lets expect between `count` of its `of` corners; 0 between one and itself.
double expected_between(const Spread& all, int of, int count);

/// Left when every trim is set to its position.
Spread spread_by_position(const CornerSlopes& slopes, const TrimUnknowns& unknowns, double reference_kg);

/// Left when trims are turned in `order` until the display shows the target: each corner then forgets its
/// cell's error, save for what cells still to be turned put on it.
Spread spread_by_display(const CornerSlopes& slopes, const TrimUnknowns& unknowns, std::span<const int> order,
                         double reference_kg);

}  // namespace cornerbench::diagnosis
