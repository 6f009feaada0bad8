#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <spdlog/fmt/fmt.h>

/// Parts that were done apart, as the whole they make.
namespace cornerbench::field {

/// The order of the parts, or why they make no whole: then `trouble` is not `none`, and `at` says where.
struct ShardOrder {
    /// Why parts make no whole: another question, one twice, one not there.
    enum class Trouble : unsigned char { none, different, twice, missing };

    std::vector<std::size_t> order;  ///< index of each part, the first one first
    Trouble trouble = Trouble::none;
    std::size_t at =
        0;  ///< index of the part that does not belong or comes again; of a missing one its place
    std::size_t like = 0;  ///< of one that comes again: the index of the other
};

/// `same` says of two parts whether they answer one question; each has a `shard` with its number and their
/// count.
template <class Part, class Same>
ShardOrder shard_order(const std::vector<Part>& parts, Same same) {
    using Trouble = ShardOrder::Trouble;
    const std::size_t none = parts.size();
    ShardOrder found;
    found.order.assign(static_cast<std::size_t>(parts.front().shard.parts), none);
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (parts[i].shard.parts != parts.front().shard.parts || !same(parts[i], parts.front()))
            return {{}, Trouble::different, i, 0};
        std::size_t& place = found.order[static_cast<std::size_t>(parts[i].shard.number - 1)];
        if (place != none) return {{}, Trouble::twice, i, place};
        place = i;
    }
    for (std::size_t number = 0; number < found.order.size(); ++number)
        if (found.order[number] == none) return {{}, Trouble::missing, number, 0};
    return found;
}

/// "part 2 of 3 is missing: run 'cornerbench trial' with --shard 2/3".
inline std::string missing_part_words(std::size_t number, int parts, std::string_view command) {
    return fmt::format("part {0} of {1} is missing: run 'cornerbench {2}' with --shard {0}/{1}", number + 1,
                       parts, command);
}

}  // namespace cornerbench::field
