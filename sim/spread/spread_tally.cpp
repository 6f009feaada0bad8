#include "sim/spread/spread_tally.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::spread {

double not_exceeded(const std::vector<double>& sorted, double share) {
    if (sorted.empty()) return 0.0;
    const double rank = std::ceil(share * static_cast<double>(sorted.size()) - 1.0e-9);
    return sorted[static_cast<std::size_t>(std::max(1.0, rank)) - 1];
}

namespace {

/// A worst case is a sum of slopes: one that is beyond it by so little is on a slope that bends.
constexpr double little_beyond = 1.02;

bool is_beyond(const Sample& s, const FirstOrder& straight) {
    return s.spread_kg > little_beyond * straight.worst_spread_kg ||
           std::fabs(s.span) > little_beyond * straight.worst.span ||
           std::fabs(s.zero_kg) > little_beyond * straight.worst.zero_kg;
}

}  // namespace

SpreadTally tally(const SpreadPart& whole) {
    SpreadTally t;
    const auto n = static_cast<double>(whole.samples.size());
    Triple square;
    for (const Sample& s : whole.samples) {
        t.spread_kg.push_back(s.spread_kg);
        t.straight_spread_kg.push_back(s.straight_spread_kg);
        square.corner_kg += s.corner_square_kg2 / n;
        t.mean.span += s.span / n;
        t.mean.zero_kg += s.zero_kg / n;
        if (is_beyond(s, whole.question.first_order)) ++t.beyond_worst;
        if (s.set_up_spread_kg > equal_divisions * whole.question.division_kg) t.out_of_reach += 1.0 / n;
    }
    for (const Sample& s : whole.samples) {
        square.span += (s.span - t.mean.span) * (s.span - t.mean.span) / n;
        square.zero_kg += (s.zero_kg - t.mean.zero_kg) * (s.zero_kg - t.mean.zero_kg) / n;
    }
    t.deviation = {std::sqrt(square.corner_kg), std::sqrt(square.span), std::sqrt(square.zero_kg)};
    std::sort(t.spread_kg.begin(), t.spread_kg.end());
    std::sort(t.straight_spread_kg.begin(), t.straight_spread_kg.end());
    t.median_kg = not_exceeded(t.spread_kg, 0.5);
    t.most_kg = not_exceeded(t.spread_kg, most_share);
    t.straight_most_kg = not_exceeded(t.straight_spread_kg, most_share);
    const auto beyond = std::upper_bound(t.spread_kg.begin(), t.spread_kg.end(), whole.question.limit_kg);
    t.within = static_cast<double>(beyond - t.spread_kg.begin()) / n;

    const std::vector<PartShare>& parts = whole.question.first_order.parts;
    for (std::size_t p = 0; p < parts.size(); ++p) {
        std::vector<double> halved;
        for (const Sample& s : whole.samples) halved.push_back(s.halved_spread_kg[p]);
        std::sort(halved.begin(), halved.end());
        const double most = not_exceeded(halved, most_share);
        t.buys.push_back({parts[p], most, t.most_kg > 0.0 ? 1.0 - most / t.most_kg : 0.0});
    }
    std::stable_sort(t.buys.begin(), t.buys.end(),
                     [](const Bought& a, const Bought& b) { return a.saved > b.saved; });
    return t;
}

}  // namespace cornerbench::spread
