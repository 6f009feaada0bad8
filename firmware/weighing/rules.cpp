#include "firmware/weighing/rules.h"

namespace cornerbench::weighing {

bool within_rules(const ZeroSettings& zero, const StabilitySettings& stability, const Rules& rules) {
    if (!within_limits(zero)) return false;
    if (zero.tracking_window_divisions > rules.zero.tracking_window_divisions) return false;
    const double fastest = rules.zero.tracking_divisions_per_s;
    const bool at_once = zero.tracking_divisions_per_s == 0.0;
    if (fastest > 0.0 && (at_once || zero.tracking_divisions_per_s > fastest)) return false;
    return stability.band_divisions >= 0.0 && stability.band_divisions <= rules.motion_limit_divisions &&
           stability.values >= 2 && stability.values <= max_stability_values;
}

}  // namespace cornerbench::weighing
