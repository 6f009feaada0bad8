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

/// The climbs of a round, the first `count` of them.
struct Climbs {
    std::array<Climb, scale::max_cells> of{};
    int count = 0;

    double chi_square() const;
};

/// The place of a contact that explains the readings best, and how sure that is. `log_odds` are against the
/// next most likely place.
struct Rubbing {
    int place = -1;             ///< -1: none
    CornerEstimate lost;        ///< largest share of a load that the contact took, on the way up
    double log_evidence = 0.0;  ///< of readings and climbs together
    int other_place = -1;
    double log_odds = 0.0;
};

/// Looks for the likeliest place, in slices of some comparisons: `step` for as long as it is working. What it
/// is made of has to outlive it and to stay as it is.
class RubbingSearch {
  public:
    RubbingSearch(const CornerPlaces& places, const CornerReadings& readings, const Climbs& climbs,
                  CornerLikelihood& likelihood)
        : places_(places), readings_(readings), climbs_(climbs), likelihood_(likelihood) {}

    /// Goes on by one slice.
    [[nodiscard]] SearchState step();

    /// Once it is done.
    const Rubbing& found() const { return found_; }

  private:
    /// For each place in turn: its contact, the limits at which it slides, the best of them made finer.
    enum class Stage : unsigned char { place, limits, refining };

    [[nodiscard]] bool begin_place();
    [[nodiscard]] bool try_limit();
    [[nodiscard]] bool refine();
    void end_place();
    void follow(double limit_kg);
    [[nodiscard]] bool weigh_limit(double limit_kg, double& log_evidence, CornerEstimate& lost);
    [[nodiscard]] bool fit(double& log_evidence, CornerEstimate& q);
    [[nodiscard]] bool fit_at(double before, double left_open, double& log_evidence, CornerEstimate& q);

    const CornerPlaces& places_;
    const CornerReadings& readings_;
    const Climbs& climbs_;
    CornerLikelihood& likelihood_;
    Rubbing found_;

    Stage stage_ = Stage::place;
    int place_ = 0;
    int tried_ = 0;              ///< limits, then refinements
    PerSupport change_{};        ///< of the gains, by a contact of q = 1 that never slides
    PerSupport free_kg_{};       ///< how far the deck would move under each mass, times its stiffness
    double never_slides_ = 0.0;  ///< largest share taken per q if it never slid
    double furthest_kg_ = 0.0;
    double stiffest_ = 0.0;
    PerSupport taken_{};  ///< by row, in parts of the mass, per q
    PerSupport climb_{};  ///< the same by climb

    // The best at this place so far.
    double limit_kg_ = 0.0;  ///< to be tried next
    double best_limit_kg_ = 0.0;
    double low_kg_ = 0.0;  ///< it is closed in on between these
    double high_kg_ = 0.0;
    double log_evidence_ = 0.0;
    CornerEstimate lost_;
};

}  // namespace cornerbench::diagnosis
