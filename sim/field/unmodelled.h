#pragma once

#include <cstdint>

#include "firmware/scale/condition.h"

/// What real scales, people and instruments do of which the model behind the diagnosis knows nothing, so that
/// a trial does not mark its own homework.
namespace cornerbench::field {

/// All zero: nothing of it.
struct Unmodelled {
    /// Largest of each cell, either way, over rated output; evenly drawn.
    double nonlinearity = 0.0;
    double hysteresis = 0.0;
    double creep = 0.0;  ///< in half an hour; a weight stands for a part of that
    double zero_per_K = 0.0;
    double span_per_K = 0.0;       ///< over output
    double warmer_K = 0.0;         ///< all cells since the calibration, standard deviation
    double between_cells_K = 0.0;  ///< one cell beside another, standard deviation
    double drift_divisions = 0.0;  ///< of zero while the corners are gone round, standard deviation
    double hum_divisions = 0.0;    ///< amplitude of a swing that a reading catches somewhere
    /// Share of an instrument's uncertainty that it has in all its readings alike.
    double same_error = 0.0;
    double millivoltmeter_gain = 0.0;  ///< relative, standard deviation
    double careless = 0.0;             ///< share of weights that are set down far worse than the rest
};

/// Cells of class C3 with 3 000 intervals: nonlinearity, hysteresis and creep of about two thirds of what
/// OIML R 60 lets pass, and its limit of zero over temperature for 12 000 intervals of the least; the rest
/// common practice, no source.
inline constexpr Unmodelled rich_world{1.5e-4, 1.5e-4, 2.0e-4, 1.2e-5, 1.0e-5, 8.0,
                                       2.0,    0.3,    0.3,    0.6,    3.0e-4, 0.1};

/// Gives every cell what its class lets pass.
void draw_class_errors(const Unmodelled& unmodelled, std::uint64_t seed, scale::Condition& condition);

/// Lets the weather have changed since the calibration.
void warm_up(const Unmodelled& unmodelled, std::uint64_t seed, scale::Condition& condition);

}  // namespace cornerbench::field
