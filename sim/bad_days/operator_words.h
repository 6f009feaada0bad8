#pragma once

#include <string>

#include "firmware/scale/description.h"
#include "sim/field/random_source.h"
#include "sim/virtual_scale/client_registers.h"

namespace cornerbench::bad_days {

/// A line that somebody types into the console, sense or nonsense.
std::string draw_command(const scale::Description& description, field::RandomSource& random);

/// One who has opened the seal to calibrate: mostly what a calibration takes, not always in its order.
std::string draw_calibrating(const scale::Description& description, double on_deck_kg,
                             field::RandomSource& random);

/// A write by Modbus: a coil, a register of the map, or any address.
virtual_scale::RegisterRequest draw_write(const scale::Description& description, field::RandomSource& random);

}  // namespace cornerbench::bad_days
