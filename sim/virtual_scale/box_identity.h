#pragma once

#include "firmware/console/command.h"

namespace cornerbench::virtual_scale {

/// What a live scale's box answers to *IDN?: its version is the program's.
const console::Identity& box_identity();

}  // namespace cornerbench::virtual_scale
