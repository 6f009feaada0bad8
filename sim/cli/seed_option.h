#pragma once

#include <charconv>
#include <cstdint>
#include <limits>
#include <string>
#include <system_error>

#include <CLI/CLI.hpp>

#include "sim/cli/exit_codes.h"

namespace cornerbench::cli {

/// Adds `--seed`: a whole number from 0 that fits. The parser alone would take -1 for one of the largest.
inline void add_seed(CLI::App& command, std::uint64_t& seed, const std::string& text) {
    const auto whole = [](const std::string& given) {
        std::uint64_t value = 0;
        const char* end = given.data() + given.size();
        const auto [stop, problem] = std::from_chars(given.data(), end, value);
        const bool good = problem == std::errc() && stop == end;
        return good ? std::string() : "'" + given + "' is no seed: must be a whole number, 0 to 2^64 - 1";
    };
    command.add_option("--seed", seed, text)->check(CLI::Validator(whole, "", "seed"));
}

/// Ends the command when so many seeds from the first on do not fit.
inline void seeds_or_stop(std::uint64_t first, std::uint64_t count) {
    if (first <= std::numeric_limits<std::uint64_t>::max() - count) return;
    throw Stop(Exit::wrong_usage, "--seed " + std::to_string(first) + ": no " + std::to_string(count) +
                                      " seeds follow from there on; valid: a smaller one");
}

}  // namespace cornerbench::cli
