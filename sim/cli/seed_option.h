#pragma once

#include <charconv>
#include <cstdint>
#include <string>
#include <system_error>

#include <CLI/CLI.hpp>

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

}  // namespace cornerbench::cli
