#include "sim/cli/shard_option.h"

#include <sstream>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/exit_codes.h"

namespace cornerbench::cli {

field::TrialShard shard_or_stop(const std::string& words, int whole, std::string_view what) {
    if (words.empty()) return {};
    field::TrialShard shard;
    char slash = 0;
    std::istringstream text(words);
    text >> shard.number >> slash >> shard.parts;
    const bool all = !text.fail() && text.peek() == std::istringstream::traits_type::eof() && slash == '/';
    if (!all || shard.number < 1 || shard.number > shard.parts || shard.parts > whole)
        throw Stop(
            Exit::wrong_usage,
            fmt::format("--shard {}: valid: K/N, the K-th of N parts, with K from 1 to N and N at most "
                        "the {} {} of the whole",
                        words, whole, what));
    return shard;
}

}  // namespace cornerbench::cli
