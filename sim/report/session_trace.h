#pragma once

#include <ostream>

#include "sim/report/number_words.h"
#include "sim/virtual_scale/session_record.h"

namespace cornerbench::report {

/// The session as a picture (SVG 1.1): the mass on the deck, the weight shown, bands where none was shown and
/// why, and marks for what was done. Readable in grey: lines differ by stroke, not by colour alone.
void print_session_svg(std::ostream& out, const virtual_scale::SessionRecord& record, const MassWords& words);

}  // namespace cornerbench::report
