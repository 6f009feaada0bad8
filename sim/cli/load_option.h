#pragma once

#include <string>
#include <vector>

#include <CLI/CLI.hpp>

#include "sim/files/load_words.h"

/// What a command is told to put on the deck.
namespace cornerbench::cli {

void add_load(CLI::App& command, std::vector<std::string>& loads);

/// The load that those words describe; a word that makes no sense ends the command with code 2.
files::PlacedLoad load_or_stop(const std::vector<std::string>& words, const files::ScaleFile& scale);

}  // namespace cornerbench::cli
