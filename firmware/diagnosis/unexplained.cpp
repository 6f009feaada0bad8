#include "firmware/diagnosis/unexplained.h"

#include <algorithm>
#include <iterator>

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

/// Times by which residuals may be wider than stated.
constexpr double times_wider[] = {1.5, 2.5, 4.0, 8.0, 16.0, 64.0, 1.0e3};

bool is_fault(scale::Cause cause) {
    return cause != scale::Cause::healthy && cause != scale::Cause::unlisted;
}

}  // namespace

double log_odds_of_more(double misfit, int rows) {
    double sum = -1.0e300;
    for (const double wider : times_wider) {
        const double log_density = -rows * numbers::log(wider) - 0.5 * misfit / (wider * wider);
        sum = numbers::log_sum(sum, log_density);
    }
    return sum - numbers::log(static_cast<double>(std::size(times_wider))) + 0.5 * misfit;
}

void leave_to_unlisted(const Outcome& outcome, std::span<Candidate> candidates, const Scatter& scatter) {
    double faults = 0.0;
    Candidate* unlisted = nullptr;
    for (Candidate& c : candidates) {
        if (c.fault.cause == scale::Cause::unlisted) unlisted = &c;
        if (is_fault(c.fault.cause) && !c.two_at_once()) faults += c.prior;
    }
    if (unlisted == nullptr || !(unlisted->prior > 0.0) || outcome.measured == 0) return;
    // It is a further fault, as rare as a second one, and one of all that there are.
    const double log_prior =
        numbers::log(scatter.second_fault * unlisted->prior / (faults + unlisted->prior));
    // Beyond this nothing is left to give.
    constexpr double certain = 600.0;
    const double log_odds = std::min(log_odds_of_more(outcome.misfit, outcome.measured) + log_prior, certain);
    const double odds = numbers::exp(log_odds);
    const double given = odds / (1.0 + odds);
    for (Candidate& c : candidates)
        if (&c != unlisted) c.probability -= given * c.probability;
    unlisted->probability += given * (1.0 - unlisted->probability);
    double total = 0.0;
    for (const Candidate& c : candidates) total += c.probability;
    for (Candidate& c : candidates) c.probability /= total;
}

}  // namespace cornerbench::diagnosis
