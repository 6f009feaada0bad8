#pragma once

#include <span>

#include "firmware/diagnosis/diagnose.h"

/// What the best explanation leaves over may be more than chance: then something that is not on the list is
/// there as well, and no probability of what is on it may say otherwise.
namespace cornerbench::diagnosis {

/// Logarithm of the odds that `misfit`, a sum of the squares of `rows` standardised residuals, is not the
/// chance that their uncertainties state but one that is some times as wide, before any prior: the density
/// under deviations of an unknown size, each size as likely, over that under the stated one. Negative where
/// chance explains it.
double log_odds_of_more(double misfit, int rows);

/// Gives to `unlisted` among `candidates` what the misfit of the best in `outcome` leaves for it; all
/// probabilities still sum to 1.
void leave_to_unlisted(const Outcome& outcome, std::span<Candidate> candidates, const Scatter& scatter = {});

}  // namespace cornerbench::diagnosis
