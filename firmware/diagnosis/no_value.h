#pragma once

#include "firmware/diagnosis/predictor.h"
#include "firmware/diagnosis/rows.h"
#include "firmware/diagnosis/scatter.h"

/// What a reading without a value says: over range, under range, blank, so much at least.
namespace cornerbench::diagnosis {

/// Logarithm of the probability that a meter or an indicator shows other than its state says: a misreading.
inline constexpr double log_misread = -13.8;

/// Logarithm of the probability that the open-ended `row` reads as it does, with the predictor set to a
/// fault.
double log_shown(Predictor& predictor, const Row& row, const Sheet& sheet, const Scatter& scatter);

/// Logarithm of the probability that all open-ended `rows` read as they do when something not on the list is
/// wrong, with the predictor set to the healthy scale.
double log_shown_unlisted(Predictor& predictor, const Rows& rows, const Sheet& sheet, const Scatter& scatter);

}  // namespace cornerbench::diagnosis
