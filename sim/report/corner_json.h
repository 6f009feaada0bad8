#pragma once

#include "firmware/diagnosis/corner_report.h"
#include "sim/report/json_document.h"

namespace cornerbench::report {

/// What the box's corner check found: the verdict, and of every finding kind, place and size by themselves,
/// beside the sentence that people read.
Json corner_json(const diagnosis::CornerReport& report);

}  // namespace cornerbench::report
