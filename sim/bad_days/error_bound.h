#pragma once

#include <cmath>

#include "firmware/scale/causes.h"
#include "firmware/weighing/range.h"

namespace cornerbench::bad_days {

/// The most by which a weight can be wrong that was shown as right, and what says so.
struct ErrorBound {
    double divisions = 0.0;
    const char* from = "";
};

inline constexpr const char* bound_by_friction =
    "twice the friction that holds the contact: with one sign when zero was set, with the other under load";
inline constexpr const char* bound_by_display =
    "no bound but the display's, which is blank beyond Max and below nothing (OIML R 76-1:2006, 4.2.3): what "
    "is felt, or read, may be any part of the load";

/// What bounds `fault` on this scale for an error of `error_d` divisions under `load_d`. Balance of forces:
/// what a contact takes off the cells is the load less their sum, and never more than its friction bears.
/// `sound_d`: by how much a sound scale may err besides.
inline ErrorBound error_bound(const scale::Description& d, const weighing::RangeSettings& range,
                              const scale::Fault& fault, double error_d, double load_d, double sound_d) {
    const double top_d = d.max_kg / d.division_kg * (1.0 + range.over_share) + range.over_divisions;
    const double display_d = (error_d > 0.0 ? top_d - load_d : load_d + range.under_divisions) + 1.0;
    if (fault.cause == scale::Cause::rubbing) {
        constexpr std::size_t friction_N = 1;
        const double friction_d = 2.0 * fault.magnitude[friction_N] / d.gravity / d.division_kg + sound_d;
        if (friction_d < display_d) return {friction_d, bound_by_friction};
    }
    return {display_d, bound_by_display};
}

}  // namespace cornerbench::bad_days
