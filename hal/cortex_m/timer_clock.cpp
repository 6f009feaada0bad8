#include "hal/cortex_m/timer_clock.h"

#include "hal/cortex_m/registers.h"

namespace cornerbench::cortex_m {

namespace {

constexpr std::uintptr_t base = 0x4000'0000;
constexpr std::uintptr_t control = base + 0x00;
constexpr std::uintptr_t value = base + 0x04;
constexpr std::uintptr_t reload = base + 0x08;
constexpr std::uint32_t on = 1;
constexpr std::uint32_t top = 0xFFFF'FFFF;

}  // namespace

void Timer::start() {
    at(reload) = top;
    at(value) = top;
    at(control) = on;
}

std::uint32_t Timer::ticks() {
    return top - at(value);
}

hal::Answer TimerClock::now(hal::Microseconds& now) {
    const std::uint32_t ticks = Timer::ticks();
    ticks_ += ticks - last_ticks_;
    last_ticks_ = ticks;
    now = static_cast<hal::Microseconds>(ticks_ / Timer::ticks_per_us);
    return hal::Answer::done;
}

}  // namespace cornerbench::cortex_m
