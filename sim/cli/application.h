#pragma once

#include "sim/cli/session.h"

namespace cornerbench::cli {

/// Reads the command line, runs what it asks, and returns the process's exit code. No exception leaves it.
int run(int argument_count, const char* const* arguments, Session& session);

}  // namespace cornerbench::cli
