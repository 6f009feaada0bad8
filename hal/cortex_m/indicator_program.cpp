#include <span>

#include "firmware/indicator/settings_block.h"
#include "hal/cortex_m/bridge_simulator.h"
#include "hal/cortex_m/flash_memory.h"
#include "hal/cortex_m/led_panel.h"
#include "hal/cortex_m/program.h"
#include "hal/cortex_m/timer_clock.h"
#include "hal/cortex_m/uart.h"
#include "hal/cortex_m/uart_line.h"
#include "hal/cortex_m/watchdog.h"

// An indicator as it would be shipped: what budgets are measured on.

extern "C" {
extern const std::uint8_t settings_begin;
extern const std::uint8_t settings_end;
}

namespace cornerbench::cortex_m {

namespace {

/// Exit status, and what is said on the UART, when the block of settings is none.
constexpr int no_settings = 3;

int refuse(SettingsError error) {
    Uart::start();
    for (const char* c = words(error); *c != '\0'; ++c) Uart::put(static_cast<std::uint8_t>(*c));
    Uart::put('\n');
    return no_settings;
}

void wait_for_interrupt_or_frame() {
    // Nothing to wait for on these boards but the next 10 ms: a real converter's interrupt ends a `wfi` here.
    const std::uint32_t begin = Timer::ticks();
    while (Timer::ticks() - begin < 10'000 * Timer::ticks_per_us) {
    }
}

/// The indicator, whose settings are on the stack only while it is made: it has a copy.
__attribute__((noinline)) Indicator* make_indicator(SettingsError& error) {
    IndicatorSettings settings;
    const std::span block(&settings_begin, static_cast<std::size_t>(&settings_end - &settings_begin));
    error = decode(block, settings);
    if (error != SettingsError::none) return nullptr;
    static TimerClock clock;
    static BridgeSimulator converter(settings.weigher.converter);
    static FlashMemory memory;
    static UartLine line;
    static LedPanel panel;
    static Watchdog watchdog;
    static Indicator indicator({clock, converter, memory, line, panel, watchdog}, settings);
    return &indicator;
}

}  // namespace

int run_program() {
    SettingsError error = SettingsError::none;
    Indicator* indicator = make_indicator(error);
    if (indicator == nullptr) return refuse(error);
    for (;;) {
        indicator->step();
        wait_for_interrupt_or_frame();
    }
}

}  // namespace cornerbench::cortex_m
