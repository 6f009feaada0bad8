#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "sim/bad_days/day.h"

/// Scales that nobody has built: what the shipped ones happen to have in common must not be what a campaign
/// rests on.
namespace cornerbench::bad_days {

/// The file of a scale with 4 to 16 cells under OIML R 76, class III: its deck, cells, cables, box, trims,
/// home run and indicator drawn by `seed` within what is built (common practice, no source). One seed is one
/// text.
std::string drawn_scale_text(std::uint64_t seed);

/// That scale, "drawn-SEED"; none when its file is refused, which would be this drawing's own error.
std::optional<DayScale> drawn_scale(std::uint64_t seed);

/// The seed in a name such as "drawn-17", with anything behind it that is no digit; none in others.
std::optional<std::uint64_t> drawn_seed(std::string_view name);

}  // namespace cornerbench::bad_days
