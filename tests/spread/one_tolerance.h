#pragma once

#include <optional>

#include "firmware/scale/description.h"
#include "sim/field/part_tolerances.h"

/// Scales simple enough to be worked out by hand, and tolerances one at a time.
namespace cornerbench::tests {

inline constexpr double test_kg = 8000.0;

/// A deck that twists freely, so that a corner's weight is all on its own cell; every part alike.
inline scale::Description plain_scale(int cells) {
    scale::Description d;
    d.max_kg = 60000.0;
    d.division_kg = 20.0;
    d.deck.mass_kg = 14000.0;
    d.deck.sections = cells / 2;
    for (int s = 0; s < d.deck.sections; ++s) d.deck.section_x_m[static_cast<unsigned>(s)] = 6.0 * s;
    d.deck.width_m = 2.6;
    d.home_run_m = 30.0;
    for (int i = 0; i < cells; ++i) d.cells[static_cast<unsigned>(i)].capacity_kg = 30000.0;
    return d;
}

/// Every part exactly as it should be.
inline field::PartTolerances exact() {
    field::PartTolerances t;
    t.rated_output_percent = t.zero_percent = t.input_resistance_percent = t.output_resistance_percent = 0.0;
    t.span_ppm_per_K = t.zero_ppm_per_K = 0.0;
    t.cable_length_percent = t.conductor_percent = t.terminal_ohm = 0.0;
    t.trim_percent = t.fixed_trim_percent = t.mixing_percent = 0.0;
    t.trim_setting_percent = t.corner_gain_percent = t.trim_ppm_per_K = t.temperature_K = 0.0;
    return t;
}

inline field::PartTolerances only(double field::PartTolerances::*part, double half_width) {
    field::PartTolerances t = exact();
    t.*part = half_width;
    return t;
}

inline field::PartTolerances only(std::optional<double> field::PartTolerances::*part, double half_width) {
    field::PartTolerances t = exact();
    t.*part = half_width;
    return t;
}

}  // namespace cornerbench::tests
