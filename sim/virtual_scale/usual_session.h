#pragma once

#include "sim/files/scale_file.h"
#include "sim/files/session_file.h"

namespace cornerbench::virtual_scale {

/// What `weigh` does without a session file: zero, a truck of two thirds of Max, a print, the empty deck
/// again, and a round with the standard's test weight over every support.
files::SessionFile usual_session(const files::ScaleFile& scale, double test_kg);

}  // namespace cornerbench::virtual_scale
