#pragma once

#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/simulated_sheet.h"

/// How well could anybody do? An observer who knows how the sheets of a trial come about, priors and spreads
/// and all: for each cause at each place it draws specimens, weighs how probable the sheet is on each, and
/// applies Bayes' rule. It shares the generator with the trial; with the diagnosis it shares the variance of
/// each meter's reading and a first guess of where to look, which importance sampling takes out again. A
/// cause that the diagnosis puts far behind keeps the diagnosis' evidence.
namespace cornerbench::field {

struct IdealSetting {
    int draws = 100;          ///< specimens for each cause, place and variant that is in doubt
    double negligible = 8.0;  ///< log evidence below the best at which one is no longer drawn for
};

/// `found` is what the diagnosis makes of `sheet`, of which the sizes serve as the first guess. Returns the
/// same candidates with the observer's probabilities, most probable first.
std::vector<diagnosis::Candidate> ideal_ranking(const scale::Description& description,
                                                const SimulatedSheet& sheet, const SheetPlan& plan,
                                                const SheetSetting& setting,
                                                const std::vector<diagnosis::Candidate>& found,
                                                std::uint64_t seed, const IdealSetting& ideal = {});

}  // namespace cornerbench::field
