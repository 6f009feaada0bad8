#pragma once

#include <vector>

#include "sim/spread/spread_file.h"

namespace cornerbench::spread {

/// The value that a share of `sorted` does not exceed (nearest rank); 0 of none.
double not_exceeded(const std::vector<double>& sorted, double share);

/// One kind of part, and what it is worth to buy it twice as good.
struct Bought {
    PartShare part;
    double halved_spread_kg = 0.0;  ///< 95 % of scales then stay below this
    double saved = 0.0;             ///< share of today's that goes away; below 0: chance alone
};

/// What many made-up scales come to.
struct SpreadTally {
    std::vector<double> spread_kg;           ///< ascending
    std::vector<double> straight_spread_kg;  ///< the same by the first-order model
    Triple deviation;
    Triple mean;  ///< of span and zero
    double median_kg = 0.0;
    double most_kg = 0.0;           ///< 95 % stay below this
    double straight_most_kg = 0.0;  ///< by the first-order model
    double within = 0.0;            ///< share of scales within the limit
    int beyond_worst = 0;           ///< scales that are beyond first order's worst case all the same
    double out_of_reach = 0.0;      ///< share whose trims could not make their corners equal
    std::vector<Bought> buys;       ///< what saves most first
};

inline constexpr double most_share = 0.95;

/// Corners that lie so far apart when they were trimmed are not equal, in divisions.
inline constexpr double equal_divisions = 0.1;

SpreadTally tally(const SpreadPart& whole);

}  // namespace cornerbench::spread
