#pragma once

#include <vector>

#include "sim/field/next_check.h"

namespace cornerbench::field {

/// A reading that could be taken, with the minutes it takes.
struct PossibleCheck {
    diagnosis::Reading reading;
    double minutes = 0.0;
};

/// Whether both read the same thing under the same load, whatever was read.
bool same_check(const diagnosis::Reading& a, const diagnosis::Reading& b);

/// Every reading that this scale allows and the sheet does not have yet, with its minutes from there.
std::vector<PossibleCheck> possible_checks(const scale::Description& description,
                                           const diagnosis::Sheet& sheet, const CheckMinutes& minutes,
                                           const Workplace& from);

}  // namespace cornerbench::field
