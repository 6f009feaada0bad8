#pragma once

#include "hal/answer.h"

namespace cornerbench::hal {

/// Time since some start.
///
/// Only the loop that runs the firmware asks for it, once a step, and hands the value on: below that, time is
/// an argument, so that a simulator or a recording can hand on any time it likes.
///
/// Promised: the value never decreases and is the one that the converter stamps its frames by. Not promised:
/// that it goes on over a restart, that two calls differ, that it agrees with anybody's wrist watch.
class Clock {
  public:
    /// Time now. `failed`: the oscillator has stopped, `now` is untouched.
    virtual Answer now(Microseconds& now) = 0;

  protected:
    ~Clock() = default;
};

}  // namespace cornerbench::hal
