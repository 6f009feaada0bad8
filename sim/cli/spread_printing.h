#pragma once

#include <string>

#include "sim/cli/session.h"
#include "sim/report/spread_report.h"

namespace cornerbench::cli {

/// Prints a whole spread, be it of one run or of parts put together; draws it too when `svg_path` names a
/// file.
void print_spread_whole(const spread::SpreadPart& whole, const std::string& svg_path, Session& session);

}  // namespace cornerbench::cli
