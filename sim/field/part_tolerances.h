#pragma once

#include <optional>

/// How far the parts of one scale may stray, as half-widths: values lie evenly between minus and plus that
/// much.
namespace cornerbench::field {

/// What is not given of the cells is taken from the scale's file; the rest is common practice, no source.
struct PartTolerances {
    std::optional<double> rated_output_percent;
    std::optional<double> zero_percent;  ///< of rated output
    std::optional<double> input_resistance_percent;
    std::optional<double> output_resistance_percent;
    /// Over output and over rated output. Without them what the scale's file says, and 10 and 20 where it
    /// says nothing.
    std::optional<double> span_ppm_per_K;
    std::optional<double> zero_ppm_per_K;

    double cable_length_percent = 2.0;  ///< as delivered with the cell
    double cable_cut_m = 0.0;           ///< shortened or lengthened on site
    double conductor_percent = 2.0;     ///< ohms per metre
    double terminal_ohm = 0.01;         ///< of both excitation terminals of a cell

    double trim_percent = 10.0;         ///< a potentiometer's total
    double fixed_trim_percent = 1.0;    ///< a fixed resistor
    double mixing_percent = 1.0;        ///< each mixing resistor
    double trim_setting_percent = 0.5;  ///< of the trim's way, left over when corners are trimmed
    double corner_gain_percent = 0.01;  ///< the same in a box with a channel per cell
    double trim_ppm_per_K = 100.0;

    double temperature_K = 20.0;  ///< away from that at which the scale was set up
};

inline constexpr double usual_span_ppm_per_K = 10.0;
inline constexpr double usual_zero_ppm_per_K = 20.0;

}  // namespace cornerbench::field
