#pragma once

#include <span>
#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/check_minutes.h"
#include "sim/field/check_outcome.h"

/// What to read next: for every reading that could still be taken, how much it is expected to tell, and in
/// how many minutes.
namespace cornerbench::field {

/// A reading worth taking.
struct NextCheck {
    diagnosis::Reading reading;  ///< its value is not filled in
    double minutes = 0.0;
    double bits = 0.0;      ///< expected information on which cause it is
    double of_doubt = 0.0;  ///< the same as a share of all that is open between `about`
    int repeats = -1;       ///< index of the reading of the sheet that is taken again; -1 of a new one
    std::vector<CheckOutcome> outcomes;  ///< of this check alone, whatever else is planned
};

/// Readings by expected information per minute, best first, at most `most`. `about` are the candidates to
/// tell apart, with their probabilities (any scale); readings that tell less than a hundredth of a bit are
/// left out. `ignored` are readings of the sheet that disagree with all others; `from` is what stands ready.
std::vector<NextCheck> next_checks(const scale::Description& description, const diagnosis::Sheet& sheet,
                                   std::span<const diagnosis::Candidate> about, std::span<const int> ignored,
                                   int most, const CheckMinutes& minutes = {}, const Workplace& from = {});

}  // namespace cornerbench::field
