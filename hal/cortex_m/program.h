#pragma once

namespace cornerbench::cortex_m {

/// What a board runs after reset; each program defines its own. What it returns is its exit status.
int run_program();

}  // namespace cornerbench::cortex_m
