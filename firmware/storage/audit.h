#pragma once

#include <limits>

#include "firmware/storage/kept.h"

/// What no change may do to what is kept, whoever asks for it.
namespace cornerbench::storage {

/// One change more. A counter that is full stays so: it never begins anew.
constexpr std::uint32_t counted(std::uint32_t changes) {
    return changes == std::numeric_limits<std::uint32_t>::max() ? changes : changes + 1;
}

/// Whether all that the seal protects is the same: the calibration, and the corner gains that belong to it.
inline bool same_under_seal(const Kept& a, const Kept& b) {
    return a.calibrated == b.calibrated && a.calibration.zero_ratio == b.calibration.zero_ratio &&
           a.calibration.kg_per_ratio == b.calibration.kg_per_ratio &&
           a.calibration.kg_per_ratio2 == b.calibration.kg_per_ratio2 && a.corner_gain == b.corner_gain;
}

/// Whether `next` counts at least as many changes of either kind as `now`.
inline bool no_counter_falls(const Kept& now, const Kept& next) {
    return next.calibration_changes >= now.calibration_changes &&
           next.configuration_changes >= now.configuration_changes;
}

/// Whether `next` may take the place of `now`: no counter goes down, and whatever it counts raises it.
inline bool may_follow(const Kept& now, const Kept& next) {
    const auto rose = [](std::uint32_t before, std::uint32_t after) {
        return after > before || after == std::numeric_limits<std::uint32_t>::max();
    };
    if (!no_counter_falls(now, next)) return false;
    if (!same_under_seal(now, next) && !rose(now.calibration_changes, next.calibration_changes)) return false;
    return now.unit == next.unit || rose(now.configuration_changes, next.configuration_changes);
}

}  // namespace cornerbench::storage
