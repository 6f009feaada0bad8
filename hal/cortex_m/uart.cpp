#include "hal/cortex_m/uart.h"

#include "hal/cortex_m/registers.h"

namespace cornerbench::cortex_m {

namespace {

constexpr std::uintptr_t base = 0x4000'4000;
constexpr std::uintptr_t data = base + 0x00;
constexpr std::uintptr_t state = base + 0x04;
constexpr std::uintptr_t control = base + 0x08;
constexpr std::uintptr_t divider = base + 0x10;

constexpr std::uint32_t state_out_full = 1;
constexpr std::uint32_t state_in_full = 2;
constexpr std::uint32_t state_in_overrun = 8;
constexpr std::uint32_t both_ways = 3;
/// 115 200 baud, nearly: the part divides its clock of 25 MHz.
constexpr std::uint32_t baud_divider = 217;

}  // namespace

void Uart::start() {
    at(divider) = baud_divider;
    at(control) = both_ways;
}

bool Uart::can_put() {
    return (at(state) & state_out_full) == 0;
}

bool Uart::has_got() {
    return (at(state) & state_in_full) != 0;
}

void Uart::put(std::uint8_t byte) {
    while (!can_put()) {
    }
    at(data) = byte;
}

std::uint8_t Uart::take() {
    return static_cast<std::uint8_t>(at(data));
}

bool Uart::overran() {
    if ((at(state) & state_in_overrun) == 0) return false;
    at(state) = state_in_overrun;
    return true;
}

}  // namespace cornerbench::cortex_m
