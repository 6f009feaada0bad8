#pragma once

#include <vector>

#include "sim/commissioning/survey.h"
#include "sim/commissioning/survey_errors.h"

/// Numbers of a day held against their limits, with what makes them uncertain.
namespace cornerbench::commissioning {

/// An error against `limit`; its verdict turns at `turns_at`.
Judged judged_of(const LinearForm& form, double limit, double turns_at);

/// How far beyond its limit, in limits: the largest is the worst.
double badness(const Judged& judged);

/// Largest less smallest result of `lines`; `shown_counts`: of what was shown. Not done with fewer than two
/// results, nor while one is missing and the others lie within the limit.
Judged spread_of(const files::TestSheet& sheet, const SheetForms& forms,
                 const std::vector<std::size_t>& lines, double limit, bool shown_counts);

/// The same of repeated weighings: that they scatter is what is asked, so only the steps of the small weights
/// are uncertain.
Judged repeated_spread_of(const files::TestSheet& sheet, const SheetForms& forms,
                          const std::vector<std::size_t>& lines, double limit, bool shown_counts);

}  // namespace cornerbench::commissioning
