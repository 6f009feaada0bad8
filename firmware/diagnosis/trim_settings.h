#pragma once

#include "firmware/diagnosis/gain_estimate.h"

/// From each cell's gain to the setting of every trim.
namespace cornerbench::diagnosis {

/// Settings that make all corners weigh alike with as much signal as can be kept.
struct Settings {
    bool found = false;
    PerCell at{};       ///< turns, ohms or digital gain; beyond the trim's ends when out of range
    int reference = 0;  ///< the weakest cell, whose trim stays at its lossless end; -1: there is no such end
    /// Change of each setting per unit of each cell's logarithmic gain; row = setting.
    CellMatrix per_log_gain{};
};

/// Weights at the corners are alike when every cell gives the indicator the same ratio per newton. Newton
/// from all trims at their lossless end, the weakest cell held there; the model is left at the result.
/// `extra_N` is the force for which cells are made alike. In a per-cell box gains follow directly, their mean
/// kept at 1.
Settings find_settings(CornerModel& model, double extra_N);

}  // namespace cornerbench::diagnosis
