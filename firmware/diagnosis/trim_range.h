#pragma once

#include "firmware/diagnosis/preferred_values.h"
#include "firmware/scale/description.h"

/// What a trim can do, on the one scale on which it acts almost linearly: its loss.
namespace cornerbench::diagnosis {

/// Ohms in the excitation lead, or siemens across the signal pair: more loss, less signal.
double loss_at(const scale::Trim& trim, double position);

/// The position with that loss; beyond the trim's ends where the loss is.
double position_with_loss(const scale::Trim& trim, double loss);

/// The losses at a trim's two ends, in ohms or siemens as `loss_at` has them.
struct LossRange {
    double least = 0.0;
    double most = 0.0;
};

/// What the trim reaches.
LossRange loss_range(const scale::Trim& trim);

/// Ohms by which `position` lies outside what the trim reaches, at its lossy end; 0 inside.
double beyond_ohm(const scale::Trim& trim, double position);

/// Fixed resistors smaller than this are a wire link. Common practice, no source.
inline constexpr double least_fixed_ohm = 0.1;

/// Tolerance of an E96 resistor (the series belongs to 1 %; common practice, no source).
inline constexpr double fixed_resistor_tolerance = 0.01;

/// What can be put in for `position`: a potentiometer's own position, or of a fixed resistor the nearest of
/// E96, a link, and the one that is there already.
double fitted_position(const scale::Trim& trim, double position, double present);

}  // namespace cornerbench::diagnosis
