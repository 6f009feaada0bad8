#include "firmware/scale/limits.h"

#include <cmath>

namespace cornerbench::scale {

namespace {

/// A load that is a whole number of divisions but for the last bits of its arithmetic stays on its edge.
constexpr double edge_slack = 1.0e-6;

}  // namespace

double limit_divisions(const LimitTable& table, double load_divisions) {
    const double load = std::fabs(load_divisions) - edge_slack;
    for (int i = 0; i < table.count; ++i) {
        const LimitBand& band = table.bands[static_cast<unsigned>(i)];
        if (load <= band.upper_edge) return band.limit;
    }
    if (table.count == 0) return 0.0;
    const LimitBand& last = table.bands[static_cast<unsigned>(table.count - 1)];
    if (table.further_edge <= 0.0) return last.limit;
    return last.limit + table.further_limit * std::ceil((load - last.upper_edge) / table.further_edge);
}

double corner_test_kg(const CornerTestRule& rule, double max_kg, int supports) {
    if (rule.share_of_max > 0.0) return rule.share_of_max * max_kg;
    return max_kg / (supports > rule.few_supports ? supports - 1 : rule.few_divisor);
}

}  // namespace cornerbench::scale
