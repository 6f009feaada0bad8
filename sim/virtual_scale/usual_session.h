#pragma once

#include "sim/files/scale_file.h"
#include "sim/files/session_file.h"

namespace cornerbench::virtual_scale {

/// A three-axle truck that suits the scale: legal axles differ, and on a small scale it is a small one.
files::Vehicle usual_truck(const files::ScaleFile& scale);

/// What `weigh` does without a session file: zero, a truck of two thirds of Max, a print, the empty deck
/// again, and a round with the standard's test weight over every support.
files::SessionFile usual_session(const files::ScaleFile& scale, double test_kg);

}  // namespace cornerbench::virtual_scale
