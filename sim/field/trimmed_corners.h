#pragma once

#include "firmware/scale/condition.h"
#include "firmware/scale/description.h"

namespace cornerbench::field {

/// True when this scale's corners can be adjusted: a box that trims, or a corner gain per channel.
bool can_trim(const scale::Description& description);

/// Adjusts every corner of `condition` as a technician does on site: the same weight is put over each support
/// and its trim (or corner gain) turned until all corners show the same, as far as the trims reach.
/// `test_kg` is that weight.
void trim_corners_equal(const scale::Description& description, double test_kg, scale::Condition& condition);

/// How far apart a scale as sound as `condition`, zeroed and with its span set, shows the usual test weight
/// over its supports: the largest less the smallest, in divisions.
double corner_spread_divisions(const scale::Description& description, const scale::Condition& condition);

/// Valid positions of the trims of `condition`, or of the corner gains of a per-cell box.
struct KnobRange {
    double low = 0.0;
    double high = 0.0;
};

KnobRange knob_range(const scale::Condition& condition);

/// The trim position or the corner gain at a box position.
double& knob(scale::Condition& condition, int position);

}  // namespace cornerbench::field
