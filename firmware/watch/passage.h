#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "firmware/scale/numbering.h"

/// What one truck leaves behind: the levels at which a scale stood while it drove on, stood and drove off.
namespace cornerbench::watch {

/// kg by channel; a box with one converter on the sum has one.
using ChannelLevels = std::array<double, scale::max_cells>;

/// One output of the box's filter.
struct WatchedOutput {
    double gross_kg = 0.0;  ///< of this output alone, not averaged
    bool at_rest = false;
    std::int64_t taken_us = 0;
    std::span<const double> channel_kg;  ///< any common offset; for one channel the weight itself
};

/// Means over the levels between two axle steps. Each is without the empty deck before it, in kg by channel;
/// the last two are without the empty deck after it.
struct Passage {
    int channels = 0;
    std::uint32_t truck = 0;  ///< counts from 1
    std::int64_t stood_us = 0;
    ChannelLevels first_axle{};   ///< the first axles alone are on
    ChannelLevels before_last{};  ///< all but the last axles are on
    ChannelLevels rolled_on{};    ///< all on, just behind the end where it came on
    ChannelLevels stood{};
    ChannelLevels rolling_off{};  ///< all on, just before the first axles leave
    ChannelLevels first_gone{};   ///< the first axles have left
    ChannelLevels last_axle{};    ///< the last axles alone are on
    ChannelLevels empty_before{};
    ChannelLevels returned{};  ///< empty after less empty before
    bool staircase = false;    ///< as many steps down as up, at least two: the levels between them hold
    double total(const ChannelLevels& level) const {
        double sum = 0.0;
        for (int i = 0; i < channels; ++i) sum += level[static_cast<std::size_t>(i)];
        return sum;
    }
};

}  // namespace cornerbench::watch
