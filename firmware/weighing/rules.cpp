#include "firmware/weighing/rules.h"

#include <algorithm>

namespace cornerbench::weighing {

namespace {

/// A range set to its limit stays within it through the rounding of its parts.
constexpr double slack = 1.0e-9;

/// Some rules let an indicator take three divisions for zero at once: a small load would be gone, and with
/// each larger one that comes the part of it that the filter shows first. No more is followed than OIML R
/// 76-1:2006, 4.5.7 allows, whatever else is allowed.
constexpr double widest_tracking_divisions = 0.5;
constexpr double fastest_tracking_per_s = 0.5;

bool sensible(const ZeroSettings& s) {
    const double shares[] = {s.initial_below, s.initial_above, s.setting_below, s.setting_above};
    for (const double share : shares)
        if (!(share >= 0.0 && share <= 1.0)) return false;
    return s.tracking_window_divisions >= 0.0 && s.tracking_divisions_per_s >= 0.0 &&
           s.longest_step_us >= 0 && s.centre_divisions >= 0.0;
}

bool sensible(const StabilitySettings& s) {
    return s.band_divisions >= 0.0 && s.values >= 2 && s.values <= max_stability_values;
}

bool sensible(const RangeSettings& s) {
    return s.over_divisions >= 0.0 && s.over_share >= 0.0 && s.under_divisions >= 0.0;
}

}  // namespace

ZeroSettings zero_settings(const Rules& rules) {
    ZeroSettings settings;
    settings.initial_below = settings.initial_above = 0.5 * rules.initial_zero_share;
    settings.setting_below = settings.setting_above = 0.5 * rules.zero_setting_share;
    settings.tracking_window_divisions = std::min(rules.tracking_divisions, widest_tracking_divisions);
    const bool limited = rules.tracking_divisions_per_s > 0.0;
    settings.tracking_divisions_per_s =
        limited ? std::min(rules.tracking_divisions_per_s, fastest_tracking_per_s) : fastest_tracking_per_s;
    settings.centre_divisions = rules.zero_light_divisions;
    return settings;
}

RangeSettings range_settings(const Rules& rules) {
    RangeSettings settings;
    settings.over_divisions = rules.over_divisions;
    settings.over_share = rules.over_share;
    return settings;
}

RuleBreach check_settings(const ZeroSettings& zero, const StabilitySettings& stability,
                          const RangeSettings& range, double division_of_max, const Rules& rules) {
    if (!sensible(zero) || !sensible(stability) || !sensible(range) || !(division_of_max > 0.0))
        return RuleBreach::not_sensible;
    if (zero.initial_below + zero.initial_above > rules.initial_zero_share + slack)
        return RuleBreach::initial_zero;
    if (zero.setting_below + zero.setting_above > rules.zero_setting_share + slack)
        return RuleBreach::zero_setting;
    if (zero.centre_divisions > rules.zero_light_divisions) return RuleBreach::zero_light;
    if (zero.tracking) {
        if (zero.tracking_window_divisions > rules.tracking_divisions) return RuleBreach::tracking_window;
        const bool at_once = zero.tracking_divisions_per_s == 0.0;
        const bool limited = rules.tracking_divisions_per_s > 0.0;
        if (limited && (at_once || zero.tracking_divisions_per_s > rules.tracking_divisions_per_s))
            return RuleBreach::tracking_rate;
    }
    if (stability.band_divisions > rules.motion_divisions) return RuleBreach::motion_band;
    const double over = range.over_share + range.over_divisions * division_of_max;
    if (over > rules.over_share + rules.over_divisions * division_of_max + slack)
        return RuleBreach::over_range;
    return RuleBreach::none;
}

}  // namespace cornerbench::weighing
