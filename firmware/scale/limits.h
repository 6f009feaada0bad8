#pragma once

#include <array>

/// What a standard allows: the largest error at a load, in divisions. The tables themselves are data, in
/// configs/standards/.
namespace cornerbench::scale {

/// Up to and including `upper_edge` divisions of load, the error may be `limit` divisions.
struct LimitBand {
    double upper_edge = 0.0;
    double limit = 0.0;
};

inline constexpr int max_limit_bands = 8;

/// Increasing bands. Past the last edge the limit grows by `further_limit` for each `further_edge` divisions
/// or part of them; with `further_edge` = 0 the last limit stays.
struct LimitTable {
    std::array<LimitBand, max_limit_bands> bands{};
    int count = 0;
    double further_edge = 0.0;
    double further_limit = 0.0;
};

/// Largest error, in divisions, that `table` allows at `load_divisions` of load (its size counts). An edge
/// belongs to the band below it. 0 for an empty table.
double limit_divisions(const LimitTable& table, double load_divisions);

/// Load of a corner test: Max over `few_divisor` on up to `few_supports` supports and Max over one less than
/// their number on more; or, where `share_of_max` is above 0, that share of Max.
struct CornerTestRule {
    int few_supports = 4;
    double few_divisor = 3.0;
    double share_of_max = 0.0;
};

double corner_test_kg(const CornerTestRule& rule, double max_kg, int supports);

}  // namespace cornerbench::scale
