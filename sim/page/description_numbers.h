#pragma once

#include <span>
#include <vector>

#include "firmware/scale/description.h"

/// A scale's description as a row of numbers, to carry it into the module of the page, whose structures are
/// laid out otherwise.
namespace cornerbench::page {

std::vector<double> to_numbers(const scale::Description& description);

/// False, with `description` in part overwritten, when there are not as many as `to_numbers` gives.
bool from_numbers(std::span<const double> numbers, scale::Description& description);

}  // namespace cornerbench::page
