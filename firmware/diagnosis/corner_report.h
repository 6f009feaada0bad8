#pragma once

#include <array>

#include "firmware/diagnosis/corner_likelihood.h"
#include "firmware/diagnosis/corner_readings.h"
#include "firmware/scale/causes.h"

/// What the corner check says.
namespace cornerbench::diagnosis {

/// What a corner check can find, and what the size of each finding means.
enum class CornerFindingKind : unsigned char {
    reversed_cell,       ///< size: the cell's gain, about -1. The sum reads low by twice its share (common
                         ///< practice, no source)
    dead_cell,           ///< size: the cell's gain, about 0; a support bound altogether looks the same
    carries_too_little,  ///< size: share of load lost; bound or rubbing or weak, nothing read tells which
    rubbing,             ///< size: share of load lost on the way up; friction was seen
    bound_or_weak,       ///< size: share of load lost, the same on the way down: no friction
    reads_too_much,      ///< size: share of load gained; a trim off, or another cell's output
    exchanged_channels,  ///< size: gain of the channel at its real place, about 1
    friction,            ///< size: kg between up and down at the place, or left after the round
    all_corners_off,     ///< size: common gain less 1; span, not a corner
    unexplained          ///< size: chi-square left over; the corners differ and nothing on the list fits
};

/// One thing found: what, where, how much, and how sure.
struct CornerFinding {
    CornerFindingKind kind = CornerFindingKind::unexplained;
    scale::Site place;  ///< SiteKind::none where it has none
    CornerEstimate size;
    double significance = 0.0;  ///< standard uncertainties away from what a sound scale shows
    scale::Site other_place;    ///< the next most likely place; none when no other comes near
    double log_odds = 0.0;      ///< natural logarithm of the odds against that one
};

inline constexpr int max_findings = 12;

/// Share of all rounds in which a fault of the size called surely found is found.
inline constexpr double surely_found_share = 0.99;

/// The check's answer in one word.
enum class CornerVerdict : unsigned char {
    alike,      ///< every support judged, and no difference beyond what can be known
    not_alike,  ///< see the findings
    too_little  ///< nothing found, but not every support could be judged
};

/// Everything that a corner check has to say. Nothing but `error` is meant after an error.
struct CornerReport {
    CornerError error = CornerError::none;
    CornerVerdict verdict = CornerVerdict::too_little;
    std::array<CornerFinding, max_findings> findings{};
    int count = 0;
    bool full = false;  ///< there was more to say than there is room

    unsigned unread = 0;        ///< one bit per support over which nothing was read
    unsigned unjudged = 0;      ///< one bit per support whose cell could be dead without standing out
    double limit_sigmas = 0.0;  ///< from here on a place is called off, by the stated rate of false alarms
    /// Gain of each cell if it alone were off, 1 when sound.
    std::array<CornerEstimate, scale::max_cells> gain{};
    /// Share lost that would be found 99 times of 100.
    PerSupport surely_found{};
    CornerEstimate common;  ///< what all corners have in common, 1 when span is right

    /// One more finding, or null when there is no room.
    CornerFinding* add(CornerFindingKind kind, const scale::Site& place, const CornerEstimate& size,
                       double significance);
};

/// In plain words.
const char* text_of(CornerFindingKind kind);

}  // namespace cornerbench::diagnosis
