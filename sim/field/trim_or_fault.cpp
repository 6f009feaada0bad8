#include "sim/field/trim_or_fault.h"

#include <algorithm>

namespace cornerbench::field {

using diagnosis::Candidate;
using scale::Cause;

namespace {

/// A fault must fit better than anything a trim may mend by this much in log density (twenty to one).
constexpr double told_apart = 3.0;
/// Above this, faults are the answer; below the other, they are not worth a word.
constexpr double most_probable = 0.5;
constexpr double worth_a_word = 0.05;

double best_of_trims(const DiagnosedSheet& found) {
    double best = -1.0e300;
    for (const Candidate& c : found.candidates) {
        if (a_trims_business(c)) best = std::max(best, c.best_log_density);
    }
    return best;
}

/// True for a group that holds what a trim may mend as well, with some weight.
bool shared_with_trims(const DiagnosedSheet& found, const CauseGroup& group) {
    double trims = 0.0;
    for (const int member : group.members) {
        const Candidate& c = found.candidates[static_cast<std::size_t>(member)];
        if (a_trims_business(c)) trims += c.probability;
    }
    return trims > worth_a_word * group.probability;
}

class Suspects {
  public:
    void add(int candidate, double probability) {
        which.push_back(candidate);
        sum += probability;
    }
    std::vector<int> which;
    double sum = 0.0;
};

FaultSuspicion suspicion_of(TrimOrFault verdict, Suspects suspects, const DiagnosedSheet& found) {
    FaultSuspicion suspicion;
    suspicion.verdict = verdict;
    suspicion.suspects_probability = suspects.sum;
    suspicion.suspects = std::move(suspects.which);
    if (!suspicion.suspects.empty()) {
        suspicion.group = found.candidates[static_cast<std::size_t>(suspicion.suspects.front())].group;
    }
    return suspicion;
}

}  // namespace

bool a_trims_business(const Candidate& c) {
    const auto may_mend = [](Cause cause) {
        return cause == Cause::healthy || cause == Cause::trim_off || cause == Cause::altered_cable;
    };
    return may_mend(c.fault.cause) && may_mend(c.also.cause);
}

FaultSuspicion suspect_fault(const DiagnosedSheet& found) {
    const double fit_of_trims = best_of_trims(found);
    Suspects faults;
    Suspects doubtful;
    double unlisted = 0.0;
    for (std::size_t i = 0; i < found.candidates.size(); ++i) {
        const Candidate& c = found.candidates[i];
        if (c.fault.cause == Cause::unlisted) unlisted += c.probability;
        if (a_trims_business(c) || c.fault.cause == Cause::unlisted) continue;
        const CauseGroup* group = c.group >= 0 ? &found.groups[static_cast<std::size_t>(c.group)] : nullptr;
        if (group != nullptr && group->like_healthy) continue;
        const double weight = group != nullptr ? group->probability : c.probability;
        const bool favoured = c.best_log_density >= fit_of_trims + told_apart;
        const bool shared = group != nullptr && shared_with_trims(found, *group);
        if (favoured && !shared) {
            faults.add(static_cast<int>(i), c.probability);
        } else if ((shared && weight > worth_a_word) || weight > most_probable) {
            doubtful.add(static_cast<int>(i), c.probability);
        }
    }
    const double fault_probability = faults.sum;
    const double against = faults.sum + doubtful.sum;
    const bool healthy_leads =
        !found.candidates.empty() && found.candidates.front().fault.cause == Cause::healthy;
    FaultSuspicion suspicion;
    if (faults.sum > most_probable) {
        suspicion = suspicion_of(TrimOrFault::fault, std::move(faults), found);
    } else if (unlisted > most_probable || (found.fits_no_cause() && against < most_probable)) {
        suspicion.verdict = TrimOrFault::unexplained;
    } else if (against > (healthy_leads ? most_probable : worth_a_word)) {
        suspicion = suspicion_of(TrimOrFault::undecided,
                                 std::move(doubtful.sum >= faults.sum ? doubtful : faults), found);
    }
    suspicion.fault_probability = fault_probability;
    return suspicion;
}

}  // namespace cornerbench::field
