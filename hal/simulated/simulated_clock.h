#pragma once

#include "hal/clock.h"

namespace cornerbench::hal {

/// Time that somebody else decides.
class SimulatedClock final : public Clock {
  public:
    explicit SimulatedClock(Microseconds start_us = 0) : time_us_(start_us) {}

    Answer now(Microseconds& now) override {
        if (stopped_) return Answer::failed;
        now = time_us_;
        return Answer::done;
    }

    /// An earlier time than the present one changes nothing: the port promises that time does not run back.
    void set(Microseconds time_us) {
        if (time_us > time_us_) time_us_ = time_us;
    }

    /// From now on the port answers `failed`, until `stopped` is false again.
    void set_stopped(bool stopped) { stopped_ = stopped; }

    Microseconds time_us() const { return time_us_; }

  private:
    Microseconds time_us_;
    bool stopped_ = false;
};

}  // namespace cornerbench::hal
