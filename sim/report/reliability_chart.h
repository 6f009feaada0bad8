#pragma once

#include <ostream>
#include <string>

#include "sim/field/trial_tally.h"

namespace cornerbench::report {

/// SVG of what a trial's statements came to: for each tenth of stated probability the share that came true,
/// with its 95 % interval, beside the line on which every statement is worth what it says.
void draw_reliability(std::ostream& out, const std::string& scale, const field::Trial& trial);

}  // namespace cornerbench::report
