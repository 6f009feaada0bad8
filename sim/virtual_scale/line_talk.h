#pragma once

#include <string>
#include <string_view>

#include "sim/virtual_scale/virtual_scale.h"

/// Somebody at the other end of the indicator's line. What is done this way is done through a port, so a
/// recording has it.
namespace cornerbench::virtual_scale {

/// Sends one line and lets frames pass until its answer has come: that, without its line's end. Empty when
/// none came within `at_most_s`, or while there is no power.
std::string ask(VirtualScale& scale, std::string_view line, double at_most_s = 2.0);

/// Sends a command; empty when it was done, else what the error queue says of it: number and words.
std::string tell(VirtualScale& scale, std::string_view command);

/// What the answer to SYST:ERR? says in the end: of `-200,"Execution error;not stable"` the last two words.
/// Empty for no error and for an empty answer.
std::string reason_in(const std::string& error);

}  // namespace cornerbench::virtual_scale
