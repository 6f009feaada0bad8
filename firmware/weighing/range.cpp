#include "firmware/weighing/range.h"

namespace cornerbench::weighing {

namespace {

/// A limit that is a whole number of divisions but for the last bits of its unit's arithmetic is still shown.
constexpr double edge_slack = 1.0e-6;

}  // namespace

RangeState range_of(double shown_gross_kg, double max_kg, double division_kg, const RangeSettings& settings) {
    if (!(shown_gross_kg == shown_gross_kg)) return RangeState::no_number;
    const double over_kg = max_kg * (1.0 + settings.over_share) + settings.over_divisions * division_kg;
    const double slack_kg = edge_slack * division_kg;
    if (shown_gross_kg > over_kg + slack_kg) return RangeState::over;
    if (shown_gross_kg < -settings.under_divisions * division_kg - slack_kg) return RangeState::under;
    return RangeState::within;
}

}  // namespace cornerbench::weighing
