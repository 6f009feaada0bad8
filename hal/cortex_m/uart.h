#pragma once

#include <cstdint>

/// The CMSDK APB UART (Arm Cortex-M System Design Kit, DDI 0479, 4.4), the first one of the MPS2 boards.
namespace cornerbench::cortex_m {

/// What the part itself does: one byte each way, nothing kept.
class Uart {
  public:
    /// Switches it on, both ways.
    static void start();

    /// Whether there is room for a byte, and whether one has come in.
    static bool can_put();
    static bool has_got();

    /// Waits for room. For what is said before the end, not for the firmware, which waits for nothing.
    static void put(std::uint8_t byte);

    static std::uint8_t take();

    /// Whether a byte was lost since this was asked last, because none had been taken in time.
    static bool overran();

    /// From here on `uart_received` and `uart_sent` are called.
    static void interrupt_on_bytes();
    static void forget_interrupts();
    /// Makes the processor call `uart_sent` as soon as it can.
    static void pretend_byte_left();
};

/// The interrupts' handlers, in uart_line.cpp.
void uart_received();
void uart_sent();

}  // namespace cornerbench::cortex_m
