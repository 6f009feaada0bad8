#pragma once

#include <array>
#include <span>
#include <string_view>

#include "firmware/scale/description.h"

/// From the converter's ratio to a weight: set with known weights, or worked out from the cells' ratings.
namespace cornerbench::weighing {

/// A line, or a parabola, through the ratio of the empty scale. Ratios in V/V: of the summed bus, or the sum
/// of gain times channel.
struct Calibration {
    double zero_ratio = 0.0;
    double kg_per_ratio = 0.0;
    double kg_per_ratio2 = 0.0;  ///< 0 on a straight line

    double weight_kg(double ratio) const {
        const double signal = ratio - zero_ratio;
        return (kg_per_ratio + kg_per_ratio2 * signal) * signal;
    }

    /// The same with every weight `factor` times as large: a span adjustment, or another place's gravity.
    Calibration scaled(double factor) const {
        return {zero_ratio, factor * kg_per_ratio, factor * kg_per_ratio2};
    }
};

inline constexpr int max_calibration_points = 5;

/// A known load on the scale and the ratio read under it, without any later zero or tare.
struct CalibrationPoint {
    double load_kg = 0.0;
    double ratio = 0.0;
    double weight = 1.0;  ///< how much it counts: inverse variance, up to a factor
};

/// What a calibration has to satisfy. The limits without a clause are our own choice: they catch slips, not
/// poor weights.
struct CalibrationSettings {
    double max_kg = 0.0;
    double division_kg = 0.0;
    bool curved = false;  ///< with a quadratic term; takes three different loads
    double full_scale_ratio = 3.9e-3;
    /// Least signal the converter tells apart reliably: 0.1 uV per division at 10 V (common practice, no
    /// source).
    double least_ratio_per_division = 1.0e-8;
    /// Least difference between the largest and the smallest load, over Max: spread any thinner, an error of
    /// half a division becomes ten at Max.
    double least_span_of_max = 0.05;
    /// Farthest a point may lie from the fit: more is a wrong weight or a wrong key, not the scale.
    double largest_residual_divisions = 3.0;
    /// Bend at Max over the weight there; a load cell's is a thousandth at most.
    double largest_curvature = 0.02;
};

/// Why a calibration is refused; `words` says it in a sentence.
enum class CalibrationError : unsigned char {
    none,
    bad_settings,
    too_few_points,
    too_many_points,
    not_finite,
    bad_weight,
    negative_load,
    signal_over_range,
    equal_loads,
    loads_too_close,
    negative_slope,
    signal_too_small,
    too_curved,
    points_disagree,
    no_cells,
    bad_cell,
    bad_gravity
};

/// What is wrong and what would be right, in a sentence.
std::string_view words(CalibrationError error);

/// A calibration through points, and how far it misses them; `calibration` is meant only without an error.
struct CalibrationFit {
    CalibrationError error = CalibrationError::none;
    Calibration calibration;
    std::array<double, max_calibration_points> residual_kg{};  ///< shown less true, in the points' order
    double residual_sd_kg = 0.0;  ///< of a point that counts 1; 0 when there are only as many as unknowns
    int degrees_of_freedom = 0;
};

/// Weighted least squares through two to five points in any order. The load is taken as a function of the
/// ratio: what errs is read in kg, and the ratios' own noise is far too small against their span to bend the
/// line.
CalibrationFit fit_calibration(std::span<const CalibrationPoint> points, const CalibrationSettings& settings);

/// What a cell's plate says; capacity at standard gravity.
struct RatedCell {
    double capacity_kg = 0.0;
    double rated_output_V_per_V = 0.0;
};

/// Worked out from the plates of the cells, for a load spread evenly over them: a summed bus reads the mean
/// of its cells, a converter per cell adds them. `zero_ratio` is read on the empty scale; `gravity` m/s2 is
/// that of the place, against the cells' standard one. Good to the cells' tolerances and no better.
CalibrationFit rated_calibration(std::span<const RatedCell> cells, scale::Converter converter, double gravity,
                                 double zero_ratio, const CalibrationSettings& settings);

/// Puts a fit without an error in the place of `stored`. False, and nothing changed, with one.
[[nodiscard]] bool adopt(const CalibrationFit& fit, Calibration& stored);

}  // namespace cornerbench::weighing
