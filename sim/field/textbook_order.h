#pragma once

#include <vector>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/description.h"

namespace cornerbench::field {

/// The checks in the order in which a technician without a diagnosis goes about a scale that weighs wrong,
/// from what costs least to what costs most, cell by cell: common practice, no source. What is on the sheet
/// already (the weights over the corners) is left out.
std::vector<diagnosis::Reading> textbook_order(const scale::Description& description);

}  // namespace cornerbench::field
