#pragma once

#include <ostream>

#include "sim/report/style.h"
#include "sim/spread/spread_tally.h"

/// What tolerances do to a scale, as text, JSON or a picture.
namespace cornerbench::report {

void print_spread(std::ostream& out, const spread::SpreadPart& whole, const Style& style);
void print_spread_json(std::ostream& out, const spread::SpreadPart& whole);

/// Histogram of the corner spread beside the limit, as SVG.
void draw_spread(std::ostream& out, const spread::SpreadPart& whole);

}  // namespace cornerbench::report
