#pragma once

#include <cstdint>
#include <vector>

#include "firmware/scale/description.h"
#include "firmware/watch/traffic_watch.h"

/// What a scale's traffic tells, ranked.
namespace cornerbench::field {

/// What traffic can show of a cell, a support or the zero.
enum class TrafficSign : unsigned char {
    signal_refused,  ///< the box refuses the cell's signal: dead, reversed or beyond its range
    dead,            ///< the cell answers to nothing
    reversed,        ///< less than nothing
    reads_less,      ///< a cell against the others, or in a summed box the sections at one end
    reads_more,
    share_with_load,  ///< a support's share depends on the load: a gap, rocking
    support_height,   ///< the empty deck's load has passed from some supports to others
    rubbing,          ///< driving on and driving off differ: friction
    zero_moved,       ///< with a truck's passage and not back
    zero_moved_empty  ///< with nobody on the deck
};

/// Where on a deck whose box has one converter: seen from where trucks come on.
enum class DeckPart : unsigned char { none, coming_end, middle, leaving_end, an_end };

/// A cell that may be behind a finding, and how likely.
struct Suspect {
    int cell = -1;  ///< from 0
    TrafficSign sign = TrafficSign::reads_less;
    double probability = 1.0;  ///< among the suspects for this finding
    double gain = 1.0;         ///< of the cell against before, or against the others
};

/// One sign in a scale's traffic: where it may come from, since when, and how large it is.
struct TrafficFinding {
    TrafficSign sign = TrafficSign::reads_less;
    std::vector<Suspect> suspects;  ///< likeliest first; empty where the box cannot tell a cell
    DeckPart part = DeckPart::none;
    std::uint32_t since_truck = 0;    ///< most likely from this one on; 1: from the first, or before
    std::uint32_t noticed_truck = 0;  ///< 0: not by a change but by comparing cells
    double sigmas = 0.0;  ///< lately against before, in truck-to-truck standard deviations; 0: not measured
    /// Summed box: what the truck weighs where it comes on and where it leaves, against where it stands,
    /// lately less before; relative.
    double coming = 0.0;
    double leaving = 0.0;
    double kg = 0.0;  ///< of a zero or a gap; 0 where it has none
};

/// Largest part first where they began together, else in the order in which they were noticed.
std::vector<TrafficFinding> traffic_findings(const watch::TrafficWatch& traffic);

/// Trucks that a box needs before it says anything.
inline constexpr int trucks_to_judge = watch::learning_numbers + 1;

}  // namespace cornerbench::field
