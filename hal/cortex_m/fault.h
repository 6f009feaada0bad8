#pragma once

namespace cornerbench::cortex_m {

/// Exit status of a program that met a fault of the processor.
inline constexpr int fault_status = 70;

/// Ends the program with this status: to the debugger, or by standing still until the watchdog bites.
[[noreturn]] void end(int status);

/// Where every exception goes that nobody asked for: says on the console which one, where, and why (CFSR,
/// HFSR), and ends with `fault_status`. Never called.
void fault();

}  // namespace cornerbench::cortex_m
