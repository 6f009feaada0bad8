#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/page/deed.h"

namespace cornerbench::page {

/// The whole state of a bench page, as its link says it behind the `#`:
///
///     scale=quarry-8&seed=7&until=1200&hash=00ff..&deeds=120,put,10.5,2.6,10000;800,key,0
///
/// `lesson` names a lesson in place of scale and seed; `drill=2` behind the seed makes a drill of that level.
struct Link {
    std::string scale;
    std::string lesson;
    std::uint64_t seed = 1;
    int drill = 0;                      ///< level of the drill whose number is `seed`; 0: none
    std::int64_t until = 0;             ///< frames
    std::optional<std::uint64_t> hash;  ///< of the state then
    std::vector<Deed> deeds;            ///< by their frames
};

/// The link, or in `error` what is wrong with it. A whole address may stand before the `#`.
struct ReadLink {
    std::optional<Link> link;
    std::string error;
};

/// Reads what stands behind the `#`, or a whole address.
ReadLink read_link(std::string_view text);

}  // namespace cornerbench::page
