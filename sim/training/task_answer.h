#pragma once

#include "firmware/diagnosis/reading.h"

namespace cornerbench::training {

/// True when `read` is the reading that a lesson's task asks for by `asked`: each weight within a hundredth
/// and 0.13 m of its place, where the reading depends on the load at all.
bool answers_task(const diagnosis::Reading& read, const diagnosis::Reading& asked);

}  // namespace cornerbench::training
