#pragma once

#include <vector>

#include "firmware/diagnosis/diagnose.h"

namespace cornerbench::page {

/// The core's ranking of one cause and of two at once, most probable first; empty when it cannot answer, such
/// as for want of readings that go together.
std::vector<diagnosis::Candidate> ranked_causes(const scale::Description& description,
                                                const diagnosis::Sheet& sheet);

/// A reading beside its predictions, all in its own unit.
struct Explained {
    int reading = 0;  ///< index into the sheet's
    double if_healthy = 0.0;
    double by_cause = 0.0;  ///< given all other readings
    /// By how many standard uncertainties it departs less from the cause's than from a healthy scale's, each
    /// given all other readings.
    double better = 0.0;
};

/// The sheet's values beside what a healthy scale and `candidate` predict, what speaks most for it first.
std::vector<Explained> explained(const scale::Description& description, const diagnosis::Sheet& sheet,
                                 const diagnosis::Candidate& candidate);

}  // namespace cornerbench::page
