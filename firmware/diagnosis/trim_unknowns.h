#pragma once

#include "firmware/diagnosis/corner_model.h"

/// What remains unknown when a trim is set, as standard deviations of its cell's logarithmic gain.
namespace cornerbench::diagnosis {

/// From how near a trim can be set: a potentiometer within `setting_turns`, a fixed resistor within its own
/// tolerance, a digital gain exactly.
double setting_sd(CornerModel& model, int cell, double extra_N, double setting_turns);

/// Of the computed change from `present_at` to the model's setting: the cell's resistances are known no
/// better than their tolerance. The model is left as it was.
double change_sd(const scale::Description& description, CornerModel& model, int cell, double extra_N,
                 double present_at);

/// Standard uncertainty of a cell's signal with the deck empty, as the mass that would give it: its zero, and
/// its share of the dead load.
double empty_signal_sd_kg(const scale::Description& description, const CornerModel& model, int cell);

}  // namespace cornerbench::diagnosis
