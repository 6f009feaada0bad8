#include "hal/cortex_m/fault.h"

#include <cstdint>
#include <string_view>

#include "hal/cortex_m/registers.h"
#include "hal/cortex_m/semihosting.h"
#include "hal/cortex_m/uart.h"

namespace cornerbench::cortex_m {

namespace {

void say(std::string_view text) {
    for (const char each : text) Uart::put(static_cast<std::uint8_t>(each));
}

void say(std::string_view name, std::uint32_t value) {
    say(name);
    for (int shift = 28; shift >= 0; shift -= 4) {
        const std::uint32_t digit = value >> static_cast<unsigned>(shift) & 15u;
        Uart::put(static_cast<std::uint8_t>(digit < 10 ? '0' + digit : 'a' + digit - 10));
    }
}

}  // namespace

void end(int status) {
    semihosting::exit(status);
    for (;;) {
    }
}

/// `frame` is what the processor pushed: r0 to r3, r12, lr, pc, xpsr.
extern "C" __attribute__((used)) [[noreturn]] void tell_fault(const std::uint32_t* frame) {
    std::uint32_t exception = 0;
    __asm volatile("mrs %0, ipsr" : "=r"(exception));

    say("\nfault: exception ", exception);
    // A frame that could not be pushed, after an overflow of the stack, is not looked for.
    extern const std::uint32_t bottom __asm("stack_bottom");
    extern const std::uint32_t top __asm("stack_top");
    if (frame >= &bottom && frame + 8 <= &top) {
        say(", pc ", frame[6]);
        say(", lr ", frame[5]);
    } else {
        say(", stack ", static_cast<std::uint32_t>(reinterpret_cast<std::uintptr_t>(frame)));
    }
    say(", cfsr ", at(0xE000'ED28));
    say(", hfsr ", at(0xE000'ED2C));
    say("\n");
    end(fault_status);
}

// On a stack of its own: the one in use may be what went wrong.
__attribute__((naked)) void fault() {
    __asm volatile(
        "mrs r0, msp\n"
        "ldr r1, =stack_top\n"
        "msr msp, r1\n"
        "b tell_fault\n");
}

}  // namespace cornerbench::cortex_m
