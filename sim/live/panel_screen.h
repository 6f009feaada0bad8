#pragma once

#include <vector>

#include "sim/live/live_scale.h"
#include "sim/live/terminal.h"

namespace cornerbench::live {

inline constexpr int panel_rows = 24;
inline constexpr int panel_columns = 80;

/// The panel: the indicator's weight and state, the force on every cell, the box's corner check, what is
/// connected, what happened last, and the keys. Always `panel_rows` lines of at most `panel_columns` signs.
std::vector<ScreenLine> panel_screen(LiveScale& live, const Happening& last);

}  // namespace cornerbench::live
