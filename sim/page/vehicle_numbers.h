#pragma once

#include <span>
#include <vector>

#include "sim/files/vehicle_file.h"

namespace cornerbench::page {

/// Vehicles as a row of numbers: how many, then of each its axles (how many; mass and place of each), and
/// braking, bounce, its damping and share, not a number where its file is silent.
std::vector<double> to_numbers(const std::vector<files::Vehicle>& vehicles);

/// Empty as well where the row is not as above.
std::vector<files::Vehicle> vehicles_from(std::span<const double> numbers);

}  // namespace cornerbench::page
