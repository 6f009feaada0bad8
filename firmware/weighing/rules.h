#pragma once

#include "firmware/weighing/range.h"
#include "firmware/weighing/stability.h"
#include "firmware/weighing/zero.h"

/// What a standard asks of an indicator's zero, rest and range, whatever the size of the scale. Tables of the
/// limits of error are data, in configs/standards/.
namespace cornerbench::weighing {

struct Rules {
    ZeroSettings zero;
    StabilitySettings stability;
    RangeSettings range;
    double motion_limit_divisions = 1.0;  ///< no stability band may be wider
};

/// OIML R 76-1:2006; the clauses stand with each setting.
constexpr Rules oiml_r76_rules() {
    return {};
}

/// NIST Handbook 44, 2.20 Scales (from memory but for the 105 %): a vehicle scale. `follows_3_d`: class III
/// L, or made before 2007 (S.2.1.3); else what is followed at once is 0.5 d.
constexpr Rules handbook_44_rules(bool follows_3_d) {
    Rules rules;
    rules.zero.tracking_window_divisions = follows_3_d ? 3.0 : 0.5;
    rules.zero.tracking_divisions_per_s = 0.0;
    rules.range.over_divisions = 0.0;
    rules.range.over_share = 0.05;
    rules.motion_limit_divisions = 3.0;
    return rules;
}

/// Whether settings are within what the standard allows: for a technician's own, before they are taken.
bool within_rules(const ZeroSettings& zero, const StabilitySettings& stability, const Rules& rules);

}  // namespace cornerbench::weighing
