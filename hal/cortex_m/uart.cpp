#include "hal/cortex_m/uart.h"

#include "hal/cortex_m/registers.h"

namespace cornerbench::cortex_m {

namespace {

constexpr std::uintptr_t base = 0x4000'4000;
constexpr std::uintptr_t data = base + 0x00;
constexpr std::uintptr_t state = base + 0x04;
constexpr std::uintptr_t control = base + 0x08;
constexpr std::uintptr_t interrupts = base + 0x0C;
constexpr std::uintptr_t divider = base + 0x10;

constexpr std::uint32_t state_out_full = 1;
constexpr std::uint32_t state_in_full = 2;
constexpr std::uint32_t state_in_overrun = 8;
constexpr std::uint32_t both_ways = 3;
constexpr std::uint32_t interrupt_both_ways = 12;

// Interrupts 0 (a byte came) and 1 (a byte left) of the nested vectored interrupt controller; Armv7-M, B3.4.
constexpr std::uintptr_t interrupt_enable = 0xE000'E100;
constexpr std::uintptr_t interrupt_pend = 0xE000'E200;
constexpr std::uint32_t received_and_sent = 3;
constexpr std::uint32_t sent = 2;
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

void Uart::interrupt_on_bytes() {
    at(control) = both_ways | interrupt_both_ways;
    at(interrupt_enable) = received_and_sent;
}

void Uart::forget_interrupts() {
    at(interrupts) = at(interrupts);
}

void Uart::pretend_byte_left() {
    at(interrupt_pend) = sent;
}

}  // namespace cornerbench::cortex_m
