#pragma once

#include "hal/clock.h"

namespace cornerbench::cortex_m {

/// The first CMSDK APB timer (DDI 0479, 4.3): counts down at 25 MHz, over and over.
class Timer {
  public:
    static constexpr std::uint32_t ticks_per_us = 25;

    static void start();
    /// Ticks since `start`, modulo 2^32: 171 s.
    static std::uint32_t ticks();
};

/// Microseconds by that timer. To be asked at least every 171 s, which a watchdog sees to.
class TimerClock final : public hal::Clock {
  public:
    TimerClock() { Timer::start(); }

    hal::Answer now(hal::Microseconds& now) override;

  private:
    std::uint32_t last_ticks_ = 0;
    std::uint64_t ticks_ = 0;
};

}  // namespace cornerbench::cortex_m
