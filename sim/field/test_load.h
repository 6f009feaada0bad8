#pragma once

#include "firmware/scale/description.h"

namespace cornerbench::field {

/// A weight to put over one support where nobody says another: Max/3 on up to four supports, Max/(n - 1) on
/// n > 4 (OIML R 76-1:2006, 3.6.2, no additive tare), down to two figures of the scale's own unit.
double usual_corner_kg(const scale::Description& description);

}  // namespace cornerbench::field
