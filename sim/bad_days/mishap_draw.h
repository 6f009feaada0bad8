#pragma once

#include "sim/bad_days/fault_model.h"
#include "sim/field/random_source.h"

namespace cornerbench::bad_days {

/// Any mishap of the model that this scale can have.
Mishap draw_mishap(const scale::Description& description, field::RandomSource& random);

}  // namespace cornerbench::bad_days
