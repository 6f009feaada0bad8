#pragma once

#include "firmware/indicator.h"
#include "sim/files/scale_file.h"
#include "sim/files/standard_file.h"

/// A scale file's scale with its box and indicator at work.
namespace cornerbench::virtual_scale {

/// What the firmware of this scale's indicator is built with: its own file's numbers, and the rules of its
/// standard and class.
IndicatorSettings indicator_settings(const scale::Description& description, const weighing::Rules& rules);

/// The same with the rules looked up; those of OIML R 76 when the standard's file cannot be read.
IndicatorSettings indicator_settings(const files::ScaleFile& file);

}  // namespace cornerbench::virtual_scale
