#pragma once

#include "sim/files/scale_reader.h"

/// What the keys of a scale file must satisfy together.
namespace cornerbench::files {

/// Gravity from the site's latitude and height, or as given; exactly one of both.
void settle_gravity(ScaleDraft& draft, const KeyRecord& record, Findings& findings);

/// Fills in what a kind of trim has for keys not given, and refuses keys that its kind does not have.
void settle_trim(ScaleDraft& draft, const KeyRecord& record, Findings& findings);

/// Everything else, on the finished file: errors for what cannot be, warnings for what is odd.
void check_scale(const ScaleFile& file, const KeyRecord& record, Findings& findings);

}  // namespace cornerbench::files
