#pragma once

#include <array>
#include <cstdint>
#include <string_view>
#include <vector>

#include "firmware/scale/causes.h"
#include "sim/field/simulated_sheet.h"

/// What a drill may hide, from what an eye finds to what keeps two people busy for a day.
namespace cornerbench::training {

inline constexpr int level_count = 6;

/// One level, from 1 to `level_count`.
struct Level {
    int number = 1;
    std::string_view brief;  ///< what it may hide, in a few words
};

/// `number` from 1 to `level_count`.
const Level& level_of(int number);

/// How the scale of a drill comes about: on the last level its trims were never well set.
field::SheetSetting setting_of(int level);

/// Turns by which each trim of that scale stands off from where the corners would be equal, where the drill
/// left its trims tired; the ohms or the share of a corner gain where a box has those. Empty elsewhere.
std::vector<double> tired_trims(const scale::Description& description, const field::SheetSetting& setting,
                                std::uint64_t seed);

/// Draws what is hidden in the drill with number `seed`: a cause, two on the last level, or none once in
/// eight from level 3 on. It moves some reading of a full sheet by more than ten standard uncertainties, what
/// the owner says does not settle it, and a single cause is found by the proposed checks: drawn anew until it
/// is so, at most a dozen times. Thinks for a second or so.
std::vector<scale::Fault> draw_hidden(const scale::Description& description, int level, std::uint64_t seed);

}  // namespace cornerbench::training
