#pragma once

#include <cstdint>

#include "sim/field/simulated_sheet.h"

namespace cornerbench::field {

/// By how many standard uncertainties `fault` moves the reading of a full sheet that it moves most, on the
/// specimen with number `seed`, read without error. The uncertainty is that of a sound scale's reading, with
/// everything never known exactly. A value that is no longer shown, or shown only now, counts as moved
/// without end.
double largest_effect(const scale::Description& description, const scale::Fault& fault, std::uint64_t seed,
                      const SheetSetting& setting);

}  // namespace cornerbench::field
