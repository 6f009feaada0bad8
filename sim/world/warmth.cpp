#include "sim/world/warmth.h"

#include <algorithm>
#include <cmath>

#include "firmware/circuit/box.h"
#include "firmware/scale/copper.h"
#include "firmware/scale/units.h"

namespace cornerbench::world {

namespace {

/// A step no longer than a thermometer would show, whatever it costs.
constexpr double longest_step_K = 0.05;
constexpr double shortest_step_K = 1.0e-5;

double copper_factor(double temperature_C) {
    return 1.0 + scale::copper_per_K * (temperature_C - 20.0);
}

/// What the converter reads with every cell at half of capacity.
double half_loaded(const scale::Condition& c) {
    circuit::Ratios ratios{};
    for (int p = 0; p < c.cell_count; ++p) {
        const scale::CellCondition& cell =
            c.cells[static_cast<std::size_t>(c.positions[static_cast<std::size_t>(p)].cell)];
        ratios[static_cast<std::size_t>(p)] =
            circuit::bridge_ratio(cell, 0.5 * cell.capacity_kg * scale::standard_gravity);
    }
    return circuit::Box(c).output(ratios).ratio;
}

double step_for(double effect_per_K, double tolerance) {
    if (effect_per_K * longest_step_K <= tolerance) return longest_step_K;
    return std::max(shortest_step_K, tolerance / effect_per_K);
}

}  // namespace

Warmth::Warmth(const scale::Condition& specimen, double tolerance)
    : specimen_factor_(specimen.cells[0].cable_ohm_per_m / specimen.cells[0].delivered_cable_ohm_per_m) {
    const auto at = [&](double cell_C, double cable_C) {
        scale::Condition c = specimen;
        apply(cell_C, cable_C, c);
        return half_loaded(c);
    };
    const double here = at(20.0, 20.0);
    cell_step_K_ = step_for(std::fabs(at(21.0, 20.0) - here), tolerance);
    cable_step_K_ = step_for(std::fabs(at(20.0, 21.0) - here), tolerance);
}

void Warmth::apply(double cell_C, double cable_C, scale::Condition& c) const {
    for (int i = 0; i < c.cell_count; ++i) {
        scale::CellCondition& cell = c.cells[static_cast<std::size_t>(i)];
        cell.temperature_C = cell_C;
        cell.cable_ohm_per_m = cell.delivered_cable_ohm_per_m * copper_factor(cable_C);
    }
    const double factor = copper_factor(cable_C) / specimen_factor_;
    for (double& ohm : c.home_run_ohm) ohm *= factor;
}

}  // namespace cornerbench::world
