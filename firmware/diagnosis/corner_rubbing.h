#pragma once

#include "firmware/diagnosis/corner_readings.h"
#include "firmware/diagnosis/corner_search.h"

/// Whether one contact that sticks and slides explains a round of corner readings.
///
/// A contact is a spring from the deck to the ground that slides at a limit. Through the deck's own give it
/// takes q n of a load: n follows the deck's free movement under it, from where the contact last let go, and
/// goes no further than f either way; q grows with the contact's stiffness. So a round's readings are linear
/// in q once f is chosen.
namespace cornerbench::diagnosis {

/// How much more a support shows on the way down than on the way up: a sound one by chance only.
struct Climb {
    int support = 0;
    double value = 0.0;  ///< in parts of the mass
    double uncertainty = 0.0;
};

struct Climbs {
    std::array<Climb, scale::max_cells> of{};
    int count = 0;

    double chi_square() const;
};

struct Rubbing {
    int place = -1;             ///< -1: none
    CornerEstimate lost;        ///< largest share of a load that the contact took, on the way up
    double log_evidence = 0.0;  ///< of readings and climbs together
    int other_place = -1;
    double log_odds = 0.0;
};

/// Looks for the likeliest place. False when a comparison failed.
[[nodiscard]] bool find_rubbing(const CornerPlaces& places, const CornerReadings& readings,
                                const Climbs& climbs, CornerLikelihood& likelihood, Rubbing& found);

}  // namespace cornerbench::diagnosis
