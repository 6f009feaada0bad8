#pragma once

#include "firmware/weighing/range.h"
#include "firmware/weighing/stability.h"
#include "firmware/weighing/zero.h"

/// What a standard allows an indicator's zero, rest and range, whatever the size of the scale.
namespace cornerbench::weighing {

/// Outermost limits, in divisions or as shares of Max; as made, those of OIML R 76-1:2006. Clauses are from
/// memory; 20 %, 4 %, 0.25 e and 0.5 d/s were confirmed in documents that cite them. The same numbers stand
/// in configs/standards/, where the program reads them.
struct Rules {
    double initial_zero_share = 0.20;       ///< whole range of the initial zero; 4.5.1
    double zero_setting_share = 0.04;       ///< whole range of zero key and tracking; 4.5.1
    double zero_light_divisions = 0.25;     ///< 4.5.2, 4.5.5
    double tracking_divisions = 0.5;        ///< tracking follows nothing this far from zero; 4.5.7
    double tracking_divisions_per_s = 0.5;  ///< 4.5.7; 0: as fast as it likes
    double motion_divisions = 1.0;          ///< widest band of rest; 4.4.2
    double over_divisions = 9.0;            ///< last weight shown: this past Max; 4.2.3
    double over_share = 0.0;                ///< and this
    /// A weight may be shown without one cell, marked as degraded. Neither OIML R 76 nor NIST Handbook 44
    /// lets it be: for in-plant use alone.
    bool degraded_weight = false;

    friend bool operator==(const Rules&, const Rules&) = default;
};

constexpr Rules oiml_r76_rules() {
    return {};
}

/// NIST Handbook 44, 2.20 Scales, for a vehicle scale: S.2.1.3, S.2.1.5, S.2.5.1 (from memory), S.1.7
/// (confirmed). `class_III_L`, or made before 2007: 3 d are followed at once, else 0.5 d. No range of the
/// zero key or of a zero light is known to us from there: OIML's are taken.
constexpr Rules handbook_44_rules(bool class_III_L) {
    Rules rules;
    rules.tracking_divisions = class_III_L ? 3.0 : 0.5;
    rules.tracking_divisions_per_s = 0.0;
    rules.motion_divisions = 3.0;
    rules.over_divisions = 0.0;
    rules.over_share = 0.05;
    return rules;
}

/// Settings that use what `rules` allow, ranges divided evenly to either side of zero; but zero tracking
/// follows no farther and no faster than 0.5 divisions (a second), so that it eats no load.
ZeroSettings zero_settings(const Rules& rules);
RangeSettings range_settings(const Rules& rules);

/// The rule that settings break.
enum class RuleBreach : unsigned char {
    none,
    not_sensible,  ///< something negative or no number
    initial_zero,
    zero_setting,
    zero_light,
    tracking_window,
    tracking_rate,
    motion_band,
    over_range
};

/// First of the rules that a technician's own settings break, to be asked before they are taken.
/// `division_of_max` is d / Max.
RuleBreach check_settings(const ZeroSettings& zero, const StabilitySettings& stability,
                          const RangeSettings& range, double division_of_max, const Rules& rules);

}  // namespace cornerbench::weighing
