#pragma once

#include <string>

#include <CLI/CLI.hpp>

namespace cornerbench::cli {

/// Adds --standard to a command that judges by a standard.
inline void add_standard(CLI::App& command, std::string& asked) {
    command.add_option("--standard", asked,
                       "Standard to judge by, a file or a name (default: the scale file's)");
}

/// Adds --stage, "verification" or "service".
inline void add_stage(CLI::App& command, std::string& asked) {
    command.add_option("--stage", asked, "Which limits: verification or service (default " + asked + ")")
        ->check(CLI::IsMember({"verification", "service"}));
}

}  // namespace cornerbench::cli
