#pragma once

#include <span>

#include "firmware/diagnosis/trim_solver.h"

/// Once round the deck with the weight.
namespace cornerbench::diagnosis {

/// The load with which each corner is weighed.
struct CornerLoads {
    std::array<CellForces, scale::max_cells> forces{};
    PerCell mass_kg{};
    double reference_kg = 0.0;  ///< the largest
};

/// The sheet's own load over each corner, the heaviest where there are several; where there is none, the
/// sheet's heaviest load over a corner, exactly over the support.
CornerLoads corner_loads(const scale::Description& description, const Sheet& sheet, const CornerModel& model);

/// Weight over each corner at the model's present settings, kg.
PerCell corner_weights(const CornerModel& model, const CornerLoads& loads, double kg_per_ratio);

/// Largest minus smallest weight, each brought to the reference load.
double spread_kg(std::span<const double> weights, const CornerLoads& loads);

/// Order in which to visit the corners: walking round the deck one way or the other, each corner once, from
/// where the large turns come first. Whatever is turned late disturbs the corners that were set already, by
/// an amount that only the model foretells; so it should be little. `turning` is how much each trim changes
/// its cell's gain.
void order_of_corners(std::span<const double> turning, std::span<int> order);

/// Fills in the displays of `steps`, whose corners and positions are set. The model must stand at the present
/// settings and is left at the new ones. `zero_kg` is what the indicator shows on the empty deck at first.
void compute_displays(CornerModel& model, const CornerLoads& loads, double kg_per_ratio, double zero_kg,
                      bool zero_before_each, double division_kg, std::span<TrimStep> steps);

}  // namespace cornerbench::diagnosis
