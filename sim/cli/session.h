#pragma once

#include <functional>
#include <iostream>

#include "sim/cli/exit_codes.h"
#include "sim/report/json_document.h"
#include "sim/report/style.h"

namespace cornerbench::cli {

/// One run of the program: where its output goes, and what was asked of it.
struct Session {
    Session(std::ostream& output, std::ostream& errors, std::istream& input = std::cin)
        : out(output), err(errors), in(input) {}

    std::ostream& out;
    std::ostream& err;
    std::istream& in;
    bool out_is_terminal = false;
    bool err_is_terminal = false;

    bool json = false;
    bool no_colour = false;
    bool verbose = false;
    report::Style style;  ///< of `out`; set once the command line is read

    /// What the chosen subcommand does. Set while the command line is read, run afterwards.
    std::function<Exit()> action;
};

}  // namespace cornerbench::cli
