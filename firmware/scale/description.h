#pragma once

#include <array>

#include "firmware/scale/numbering.h"
#include "firmware/scale/partial_range.h"
#include "firmware/scale/units.h"

/// A scale as it should be: what its file says. What this particular one *is* stands in condition.h.
namespace cornerbench::scale {

/// How a cell's corner is adjusted in the summing box.
enum class TrimKind : unsigned char {
    none,
    excitation_series,  ///< resistance in the cell's E+ lead; more ohms, less signal
    signal_shunt        ///< resistance across the cell's signal pair; more ohms, more signal
};

/// Element values of every trim in the box. With `turns` = 0 the trim is a fixed resistor fitted by hand and
/// a position is its value in ohms; else a position is a turn of the potentiometer, 0 at its zero-ohm end.
struct Trim {
    TrimKind kind = TrimKind::none;
    double total_ohm = 0.0;   ///< potentiometer end to end, or the largest fixed resistor
    double turns = 25.0;      ///< turns end to end; 0: a fixed resistor
    double fixed_ohm = 0.0;   ///< signal shunt only: in series with the variable part
    double mixing_ohm = 0.0;  ///< in each signal lead, between shunt and bus
};

/// Ohms of the variable part at position `at`.
constexpr double trim_variable_ohm(const Trim& trim, double at) {
    return trim.turns > 0.0 ? trim.total_ohm * at / trim.turns : at;
}

/// Largest position: turns of the potentiometer, or ohms of the largest fixed resistor.
constexpr double trim_last_position(const Trim& trim) {
    return trim.turns > 0.0 ? trim.turns : trim.total_ohm;
}

/// A load cell as bought. Tolerances are relative half-widths.
struct Cell {
    double capacity_kg = 0.0;              ///< at standard gravity
    double rated_output_V_per_V = 2.0e-3;  ///< at capacity, at the box end of the cable as delivered
    double rated_output_tolerance = 1.0e-3;
    double zero_tolerance = 1.0e-2;  ///< of rated output
    double input_ohm = 390.0;
    double output_ohm = 350.0;
    double input_tolerance = 1.0e-2;
    double output_tolerance = 6.0e-3;
    double insulation_ohm = 5.0e9;
    double nonlinearity = 0.0;  ///< largest departure from the straight line over rated output, mid range
    double hysteresis = 0.0;    ///< decreasing minus increasing over rated output, mid range
    double creep = 0.0;         ///< in 30 min, over the load's output
    double zero_per_K = 0.0;    ///< over rated output
    double span_per_K = 0.0;    ///< over output
    double cable_m = 10.0;      ///< as delivered
    double trim_at = 0.0;       ///< position of its trim: turns, or ohms of a fixed resistor
};

/// Where the indicator ties the cable shields.
enum class ShieldBond : unsigned char { excitation_minus, midpoint, floating };

/// One converter on the summed bus, or one per cell with its reference in the box.
enum class Converter : unsigned char { summed, per_cell };

inline constexpr int max_finer_ranges = 2;

/// The deck of a bridge: a module between any two neighbouring section lines, two supports on each line.
struct Deck {
    double mass_kg = 0.0;
    int sections = 0;
    std::array<double, max_sections> section_x_m{};  ///< increasing
    double width_m = 0.0;                            ///< between the far and the near row
    double overhang_m = 0.0;                         ///< beyond the first and the last section line
    double twist_stiffness_N_m_per_rad = 0.0;        ///< kt of each module
    double joint_stiffness_N_m_per_rad = 0.0;        ///< kb at each inner section line, per rail; 0: a hinge
};

/// Everything a scale file says, without a check of its own: a loader checks what it reads; whoever fills one
/// by hand sees to sizes above 0 and to section lines that run from left to right.
struct Description {
    MassUnit unit = MassUnit::kilogram;
    double max_kg = 0.0;
    double division_kg = 0.0;  ///< up to max; on a multi-interval scale that of the last range
    /// Of a multi-interval scale the ranges below, the finest last; one that is not there has a max of 0.
    std::array<PartialRange, max_finer_ranges> finer{};
    double gravity = standard_gravity;  ///< local, m/s2

    Deck deck;
    double support_stiffness_N_per_m = 9.0e7;  ///< cell, stand and footing in series

    std::array<Cell, max_cells> cells{};  ///< first 2 * deck.sections are used, by support

    double cable_area_mm2 = 0.3255;  ///< one conductor, solid copper
    double cable_temperature_C = 20.0;

    Converter converter = Converter::summed;
    Trim trim;
    double contact_ohm = 0.02;  ///< of a good terminal

    int home_run_wires = 6;  ///< 4 or 6
    double home_run_m = 10.0;
    double home_run_area_mm2 = 0.75;

    double excitation_V = 10.0;
    double source_ohm = 0.0;  ///< inside the excitation supply, in each pole
    int converter_bits = 24;
    double full_scale_V_per_V = 3.9e-3;
    double rate_Hz = 100.0;
    double noise_V_rms = 60.0e-9;  ///< at the converter's input, at that rate
    double input_ohm = 2.0e8;      ///< from each S line to E-
    ShieldBond shield_bond = ShieldBond::excitation_minus;
    double sense_fallback_ohm = 1.0e5;  ///< 0: none

    int cell_count() const { return 2 * deck.sections; }

    /// Division by which a weight of this size is shown.
    double division_at_kg(double weight_kg) const {
        const double size = weight_kg < 0.0 ? -weight_kg : weight_kg;
        double division = division_kg;
        for (const PartialRange& range : finer)
            if (range.max_kg > 0.0 && size <= range.max_kg) division = range.division_kg;
        return division;
    }
};

}  // namespace cornerbench::scale
