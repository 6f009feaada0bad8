#pragma once

#include "sim/report/json_document.h"
#include "sim/report/trim_words.h"

namespace cornerbench::report {

/// The plan for programs: masses in the scale's unit, corners counted from 1, trims in turns, ohms or as
/// digital gains. Settings and steps stand there only when there is something to do.
Json to_json(const TrimPage& page);

}  // namespace cornerbench::report
