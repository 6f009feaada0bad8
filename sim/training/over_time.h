#pragma once

#include <array>
#include <cstddef>

#include "firmware/scale/causes.h"
#include "firmware/scale/description.h"

namespace cornerbench::training {

inline constexpr std::array<double, 9> over_time_minutes{0.0, 1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0};

/// By how much the weight has moved since the first of the minutes, kg; not a number where none is shown.
using MovedKg = std::array<double, over_time_minutes.size()>;

/// One deck left standing.
struct LeftStanding {
    MovedKg sound{};   ///< without the cause
    MovedKg with{};    ///< the cause there from the beginning
    MovedKg coming{};  ///< the cause growing to its size over the minutes
};

/// What a cause does while nothing is touched, by the yard in time.
struct OverTime {
    LeftStanding empty;
    LeftStanding loaded;
    bool comes = false;        ///< the cause has a size that can grow; else `coming` says nothing
    bool usual_cells = false;  ///< the file is silent of creep and warmth: cells of a usual class are taken
    double warmer_K = 0.0;     ///< of the air, over the minutes
};

/// On a morning that grows warmer, with and without `fault`, zeroed at the beginning; loaded: `mass_kg` over
/// `support`. Cells creep, drift and warm as the description says.
OverTime over_time(const scale::Description& description, const scale::Fault& fault, int support,
                   double mass_kg);

}  // namespace cornerbench::training
