#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/description.h"

namespace cornerbench::field {

/// Replaces one value of the sheet, drawn by `seed`, by one that is plainly mistyped: two digits exchanged,
/// the point shifted, the sign lost, or the value of another reading of the same kind. Plainly: by more than
/// ten standard uncertainties of a sound scale's reading. Returns the reading, counted from 0; nothing when
/// the draw finds none.
std::optional<int> mistype_one(const scale::Description& description, diagnosis::Sheet sheet,
                               std::uint64_t seed, std::vector<diagnosis::Reading>& readings);

}  // namespace cornerbench::field
