#include "sim/cli/load_option.h"

#include <algorithm>
#include <filesystem>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/exit_codes.h"

namespace cornerbench::cli {

void add_load(CLI::App& command, std::vector<std::string>& loads) {
    command
        .add_option("--load", loads,
                    "What stands on the deck, in the keys of a sheet: \"mass=10000 over=3\", \"mass=1000 "
                    "section=2\", \"mass=500 at=[1.5, 0.8]\", \"vehicle=tipper-3-axle position=9\" (default: "
                    "empty); may be repeated")
        ->allow_extra_args(false);
}

files::PlacedLoad load_or_stop(const std::vector<std::string>& words, const files::ScaleFile& scale) {
    const std::string folder = std::filesystem::path(scale.path).parent_path().string();
    const auto read = files::read_load_words(words, scale, files::sources_beside(folder));
    if (read) return *read.value;
    const auto unknown = std::find_if(read.errors.begin(), read.errors.end(), [](const auto& error) {
        return error.kind == files::ErrorKind::unknown_key;
    });
    const files::FileError& first = unknown == read.errors.end() ? read.errors.front() : *unknown;
    const std::string given = fmt::format("--load \"{}\"", fmt::join(words, "\" --load \""));
    if (first.kind == files::ErrorKind::syntax || first.spot.key.empty() || first.spot.key == "load")
        throw Stop(Exit::wrong_usage,
                   given +
                       ": says no load; valid: such as \"mass=10000 over=3\", \"mass=1000 section=2\", "
                       "\"mass=500 at=[1.5, 0.8]\", \"vehicle=tipper-3-axle position=9\" or \"empty\"");
    throw Stop(Exit::wrong_usage,
               fmt::format("{}: {}{}: {}", given, first.spot.key,
                           first.spot.given.empty() ? "" : " = " + first.spot.given, first.message));
}

}  // namespace cornerbench::cli
