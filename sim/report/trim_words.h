#pragma once

#include <string>
#include <vector>

#include "sim/field/trim_plan.h"

namespace cornerbench::report {

/// A trim plan with all that its words speak of.
struct TrimPage {
    const files::ScaleFile& scale;
    const diagnosis::Sheet& sheet;
    const field::DiagnosedSheet& diagnosed;  ///< of the whole sheet
    const field::TrimPlan& plan;
    std::string sheet_path;  ///< as the user wrote it
};

/// A trim plan in sentences, for text and JSON alike.
struct TrimWords {
    std::string outcome;              ///< what comes of it, with the place and the amount
    std::vector<std::string> before;  ///< what to know before a trim is turned
    std::vector<std::string> advice;  ///< what to do, or to mind while doing it
};

/// Sentences without their first capital letter and full stop.
TrimWords trim_words(const TrimPage& page);

/// Small weights that, put beside a load under which the indicator would show `kg` if it had no divisions,
/// bring the display from `rounded_kg` to where it changes over to the next division (as in OIML R 76-1:2006,
/// A.4.4.3): whole tenths of a division, from none to ten.
double small_weights_kg(const diagnosis::Display& display, double division_kg);

/// True when the display cannot be read to less than a division, as far as the sheet's readings tell.
bool shows_whole_divisions(const field::TrimPlan& plan);

/// Up to three readings, most telling first, that would tell a fault from what a trim may mend.
std::vector<const field::NextCheck*> telling_checks(const TrimPage& page);

}  // namespace cornerbench::report
