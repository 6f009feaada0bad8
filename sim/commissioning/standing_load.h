#pragma once

#include <vector>

#include "sim/field/places.h"
#include "sim/files/standard_file.h"
#include "sim/files/test_sheet.h"

/// Where on the deck the parts of a test load stand, by what a line of the test sheet calls the place.
namespace cornerbench::commissioning {

/// A share of the load at a point.
struct StandingPart {
    field::Place at;
    double share = 1.0;
};

/// The parts of a load at `place`; none on an empty deck. A test pattern is as large as the standard has it,
/// else 1.2 m by 3 m. What rolls stands on four axles.
std::vector<StandingPart> standing_on(const files::TestPlace& place, const scale::Description& d,
                                      const files::Standard& standard);

}  // namespace cornerbench::commissioning
