#pragma once

#include "hal/recorded/line_text.h"

namespace cornerbench::hal {

/// The call's port, name and what the firmware gave, in words: "Line::send offered 9".
void describe(const Call& call, LineText& text);

/// The same with what the board answered: "Line::send offered 9: done, 9".
void describe_answered(const Call& call, LineText& text);

}  // namespace cornerbench::hal
