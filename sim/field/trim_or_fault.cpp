#include "sim/field/trim_or_fault.h"

#include <algorithm>

namespace cornerbench::field {

using scale::Cause;

namespace {

/// A fault must fit better than anything a trim may mend by this much in log density (twenty to one).
constexpr double told_apart = 3.0;

bool a_trims_business(Cause cause) {
    return cause == Cause::healthy || cause == Cause::trim_off || cause == Cause::altered_cable ||
           cause == Cause::unlisted;
}

}  // namespace

FaultSuspicion suspect_fault(const DiagnosedSheet& diagnosed) {
    double best_of_trims = -1.0e300;
    for (const diagnosis::Candidate& c : diagnosed.candidates) {
        if (a_trims_business(c.fault.cause)) best_of_trims = std::max(best_of_trims, c.best_log_density);
    }
    FaultSuspicion suspicion;
    for (std::size_t i = 0; i < diagnosed.candidates.size(); ++i) {
        const diagnosis::Candidate& c = diagnosed.candidates[i];
        if (a_trims_business(c.fault.cause) || c.best_log_density < best_of_trims + told_apart) continue;
        suspicion.probability += c.probability;
        if (suspicion.likeliest < 0) suspicion.likeliest = static_cast<int>(i);
    }
    return suspicion;
}

}  // namespace cornerbench::field
