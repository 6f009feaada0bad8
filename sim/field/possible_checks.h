#pragma once

#include <span>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/description.h"
#include "sim/field/check_minutes.h"

namespace cornerbench::field {

/// A reading that could be taken, with the minutes it takes.
struct PossibleCheck {
    diagnosis::Reading reading;
    double minutes = 0.0;
    int repeats = -1;  ///< index of the reading that it takes again; -1 of a new one
};

/// Whether both read the same thing under the same load, whatever was read.
bool same_check(const diagnosis::Reading& a, const diagnosis::Reading& b);

/// Every reading that this scale allows and the sheet does not have yet, with its minutes from there; of
/// those that it has, the ones `in_doubt`, to be taken again.
std::vector<PossibleCheck> possible_checks(const scale::Description& description,
                                           const diagnosis::Sheet& sheet, std::span<const int> in_doubt,
                                           const CheckMinutes& minutes, const Workplace& from);

}  // namespace cornerbench::field
