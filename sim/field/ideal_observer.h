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

/// How many specimens the observer draws, and when it stops.
struct IdealSetting {
    int draws = 40;           ///< specimens for each cause, place and variant that is in doubt, at least
    double negligible = 8.0;  ///< log evidence below the best at which one is no longer drawn for
    int most_draws = 250;
    double known_to = 0.15;  ///< standard error of a log evidence at which it is known well enough
};

/// `found` is what the diagnosis makes of `sheet`, of which the sizes serve as the first guess. Returns the
/// same candidates with the observer's probabilities, most probable first. `never_left_out`, when given, is
/// drawn for however far behind the diagnosis puts it: so a cause that it wrongly gives up shows.
std::vector<diagnosis::Candidate> ideal_ranking(const scale::Description& description,
                                                const SimulatedSheet& sheet, const SheetPlan& plan,
                                                const SheetSetting& setting,
                                                const std::vector<diagnosis::Candidate>& found,
                                                std::uint64_t seed, const IdealSetting& ideal = {},
                                                const scale::Fault* never_left_out = nullptr);

}  // namespace cornerbench::field
