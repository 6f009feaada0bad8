#include <array>
#include <cstdint>

#include "hal/cortex_m/fault.h"
#include "hal/cortex_m/program.h"
#include "hal/cortex_m/registers.h"
#include "hal/cortex_m/uart.h"
#include "hal/cortex_m/watchdog.h"

// From reset to the program, without a library's start files: nothing here allocates, nothing is called that
// is not seen.

extern "C" {

// Set by the linker script. Only their addresses mean anything.
extern std::uint32_t stack_top;
extern std::uint32_t data_image;
extern std::uint32_t data_begin;
extern std::uint32_t data_end;
extern std::uint32_t bss_begin;
extern std::uint32_t bss_end;
using Initialiser = void (*)();
extern const Initialiser init_array_begin;
extern const Initialiser init_array_end;

[[noreturn]] void reset();

// What a compiler refers to for destructors of static objects; none is ever run.
void* __dso_handle = nullptr;
}

namespace {

using namespace cornerbench::cortex_m;

constexpr std::uintptr_t coprocessor_access = 0xE000'ED88;

[[noreturn]] void go() {
    // The linker's symbols bound whole words.
    const std::uint32_t* from = &data_image;
    for (std::uint32_t* to = &data_begin; to != &data_end; ++to) *to = *from++;
    for (std::uint32_t* to = &bss_begin; to != &bss_end; ++to) *to = 0;
    for (const Initialiser* each = &init_array_begin; each != &init_array_end; ++each) (*each)();
    end(run_program());
}

}  // namespace

extern "C" void reset() {
    // The unit for floating point first: whatever follows may use it.
    at(coprocessor_access) = at(coprocessor_access) | 0xFu << 20u;
    __asm volatile("dsb\n isb" ::: "memory");
    go();
}

namespace {

/// An entry of the table: the first one is the stack, the others are code.
using Vector = void (*)();

}  // namespace

// Armv7-M Architecture Reference Manual, B1.5.2 and B1.5.3; behind the processor's own the interrupts that
// are used.
extern "C" __attribute__((section(".vectors"), used)) const std::array<Vector, 18> vectors{
    reinterpret_cast<Vector>(&stack_top),
    &reset,
    &watchdog_warned,  // NMI
    &fault,            // HardFault
    &fault,            // MemManage
    &fault,            // BusFault
    &fault,            // UsageFault
    nullptr,
    nullptr,
    nullptr,
    nullptr,
    &fault,  // SVCall
    &fault,  // DebugMonitor
    nullptr,
    &fault,  // PendSV
    &fault,  // SysTick
    &uart_received,
    &uart_sent};
