#pragma once

#include <optional>

#include "sim/field/diagnosed_sheet.h"

namespace cornerbench::training {

/// A reading of the sheet that a named cause does not explain.
struct Against {
    int reading = 0;
    double value = 0.0;      ///< in the reading's unit; of a resistance its natural logarithm
    double predicted = 0.0;  ///< by the named cause at its best fit
    /// Standard uncertainties between the two; 0 for a thing seen or shown, which has none.
    double standardised = 0.0;
    bool seen = false;  ///< no number: a thing seen, or what the display showed in place of a value
    /// `predicted` is what is left to expect once all other readings have told theirs: by itself the reading
    /// would pass.
    bool given_others = false;
};

/// What speaks most against `named` on a sheet that was ranked, if something does.
std::optional<Against> what_speaks_against(const scale::Description& description,
                                           const diagnosis::Sheet& sheet, const field::DiagnosedSheet& ranked,
                                           const diagnosis::Candidate& named);

}  // namespace cornerbench::training
