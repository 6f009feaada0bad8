#include "firmware/diagnosis/corner_rubbing.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

/// Limits tried, as parts of the largest movement under any load; the first never slides.
constexpr int limits = 16;
constexpr double step_of_limit = 0.72;
/// Then the best is closed in on from both sides, for what stays behind is a small difference.
constexpr int refinements = 14;
constexpr double golden = 0.61803398874989484820;

/// Part of a contact's force that this simple model of deck and contact leaves open: tried as if it were
/// nearly exact, and as if it were rough.
constexpr double model_uncertainty[] = {0.01, 0.1};

constexpr double root_2pi = 2.50662827463100050242;

/// One contact along the round.
class Contact {
  public:
    explicit Contact(double limit) : limit_(limit) {}

    /// Force, in parts of q, after the deck has moved so far that it would stand at `free` without contact.
    double move_to(double free) {
        const double force = std::clamp(free - slack_, -limit_, limit_);
        slack_ = free - force;
        return force;
    }

  private:
    double limit_ = 0.0;
    double slack_ = 0.0;
};

class RubbingSearch {
  public:
    RubbingSearch(const CornerPlaces& places, const CornerReadings& readings, const Climbs& climbs,
                  CornerLikelihood& likelihood)
        : places_(places), readings_(readings), climbs_(climbs), likelihood_(likelihood) {}

    /// Evidence for a contact at `place`, and the share it took.
    [[nodiscard]] bool weigh(int place, double& log_evidence, CornerEstimate& lost);

  private:
    void follow(const PerSupport& free_kg, double limit_kg);
    [[nodiscard]] bool weigh_limit(const PerSupport& free_kg, double limit_kg, double stiffest,
                                   double& log_evidence, CornerEstimate& lost);
    [[nodiscard]] bool fit(double stiffest, double& log_evidence, CornerEstimate& q);
    [[nodiscard]] bool fit_at(double before, double left_open, double stiffest, double& log_evidence,
                              CornerEstimate& q);

    const CornerPlaces& places_;
    const CornerReadings& readings_;
    const Climbs& climbs_;
    CornerLikelihood& likelihood_;
    PerSupport change_{};        ///< of the gains, by a contact of q = 1 that never slides
    double never_slides_ = 0.0;  ///< largest share taken per q if it never slid
    PerSupport taken_{};         ///< by row, in parts of the mass, per q
    PerSupport climb_{};         ///< the same by climb
};

void RubbingSearch::follow(const PerSupport& free_kg, double limit_kg) {
    PerSupport up{};
    PerSupport down{};
    Contact contact(limit_kg);
    for (int order = 0; order < places_.supports(); ++order) {
        for (int i = 0; i < places_.supports(); ++i) {
            const CornerReading& corner = readings_.corner(i);
            if (corner.mass_kg == 0.0 || corner.order != order) continue;
            const double at_rest = contact.move_to(0.0);
            const double zero = corner.own_zero ? at_rest : 0.0;
            up[i] = (contact.move_to(free_kg[i]) - zero) / corner.mass_kg;
            if (corner.unloading.count == 0) continue;
            contact.move_to(free_kg[i] * static_cast<double>(corner.came_down_from));
            down[i] = (contact.move_to(free_kg[i]) - zero) / corner.mass_kg;
        }
    }
    for (int r = 0; r < likelihood_.rows(); ++r) {
        const int i = likelihood_.row(r).support;
        taken_[r] = readings_.corner(i).loaded.count > 0 ? up[i] : down[i];
    }
    for (int c = 0; c < climbs_.count; ++c) {
        const int i = climbs_.of[c].support;
        climb_[c] = up[i] - down[i];
    }
}

bool RubbingSearch::fit(double stiffest, double& log_evidence, CornerEstimate& q) {
    CornerEstimate first;
    if (!fit_at(0.0, 0.0, stiffest, log_evidence, first)) return false;
    if (!(first.uncertainty < std::numeric_limits<double>::infinity())) return true;
    const double before = std::clamp(first.value, 0.0, stiffest);
    log_evidence = -std::numeric_limits<double>::infinity();
    for (const double left_open : model_uncertainty) {
        double here = 0.0;
        CornerEstimate more;
        if (!fit_at(before, left_open, stiffest, here, more)) return false;
        if (here <= log_evidence) continue;
        log_evidence = here;
        q = more;
    }
    return true;
}

bool RubbingSearch::fit_at(double before, double left_open, double stiffest, double& log_evidence,
                           CornerEstimate& q) {
    PerSupport taken = taken_;
    for (int r = 0; r < likelihood_.rows(); ++r) taken[r] *= before;
    int steepest = 0;
    for (int r = 1; r < likelihood_.rows(); ++r) {
        if (taken[r] > taken[steepest]) steepest = r;
    }
    const double most = std::max(taken[steepest], 0.0);
    // Seen from the mass, a contact that slides is softer.
    PerSupport gain{};
    for (int j = 0; j < places_.supports(); ++j) gain[j] = 1.0 + most / never_slides_ * change_[j];
    // Where it came to rest then, it pulls at all that follow.
    PerSupport shift{};
    const int then = readings_.corner(likelihood_.row(steepest).support).order;
    for (int r = 0; r < likelihood_.rows(); ++r) {
        if (readings_.corner(likelihood_.row(r).support).order > then) shift[r] = left_open * most;
    }
    if (!likelihood_.compare_taken(gain, taken, left_open, shift)) return false;
    // More taken is less read.
    const CornerEstimate by_rows = likelihood_.along_rows(taken_);
    double precision = 1.0 / (by_rows.uncertainty * by_rows.uncertainty);
    double score = -by_rows.value * precision;
    log_evidence = likelihood_.log_evidence();
    for (int c = 0; c < climbs_.count; ++c) {
        const Climb& climb = climbs_.of[c];
        const double measured = climb.uncertainty * climb.uncertainty;
        const double open = left_open * before * climb_[c];
        const double variance = measured + open * open;
        const double left = climb.value - before * climb_[c];
        precision += climb_[c] * climb_[c] / variance;
        score += climb_[c] * left / variance;
        log_evidence -= 0.5 * (left * left / variance + numbers::log(variance / measured));
    }
    if (!(precision > 0.0)) {
        q = {0.0, std::numeric_limits<double>::infinity()};
        return true;
    }
    const double u = 1.0 / std::sqrt(precision);
    const double more = score / precision;
    q = {before + more, u};
    log_evidence += 0.5 * score * more + numbers::log(u * root_2pi / stiffest) +
                    numbers::log_normal_between(-q.value / u, (stiffest - q.value) / u);
    return true;
}

bool RubbingSearch::weigh_limit(const PerSupport& free_kg, double limit_kg, double stiffest,
                                double& log_evidence, CornerEstimate& lost) {
    follow(free_kg, limit_kg);
    CornerEstimate q;
    if (!fit(stiffest, log_evidence, q)) return false;
    double most = 0.0;
    for (int r = 0; r < likelihood_.rows(); ++r) most = std::max(most, taken_[r]);
    lost = {q.value * most, q.uncertainty * most};
    return true;
}

bool RubbingSearch::weigh(int place, double& log_evidence, CornerEstimate& lost) {
    const CornerShares& shares = likelihood_.shares();
    change_ = places_.change(place);
    never_slides_ = 0.0;
    PerSupport free_kg{};
    double give = 0.0;
    double furthest = 0.0;
    for (int i = 0; i < places_.supports(); ++i) {
        double moved = 0.0;
        for (int j = 0; j < places_.supports(); ++j) moved -= shares.of(i, j) * change_[j];
        never_slides_ = std::max(never_slides_, moved);
        give -= change_[i] * moved;
        free_kg[i] = readings_.corner(i).mass_kg * moved;
        furthest = std::max(furthest, std::fabs(free_kg[i]));
    }
    CornerEstimate here_lost;
    double best_limit_kg = 4.0 * furthest;
    if (!weigh_limit(free_kg, best_limit_kg, 1.0 / give, log_evidence, lost)) return false;
    double limit_kg = furthest;
    for (int l = 1; l < limits; ++l, limit_kg *= step_of_limit) {
        double here = 0.0;
        if (!weigh_limit(free_kg, limit_kg, 1.0 / give, here, here_lost)) return false;
        if (here <= log_evidence) continue;
        log_evidence = here;
        lost = here_lost;
        best_limit_kg = limit_kg;
    }
    if (best_limit_kg <= furthest) {
        double low = best_limit_kg * step_of_limit;
        double high = best_limit_kg / step_of_limit;
        for (int r = 0; r < refinements; ++r) {
            const double left = high - golden * (high - low);
            const double right = low + golden * (high - low);
            double by_left = 0.0;
            double by_right = 0.0;
            CornerEstimate left_lost;
            if (!weigh_limit(free_kg, left, 1.0 / give, by_left, left_lost) ||
                !weigh_limit(free_kg, right, 1.0 / give, by_right, here_lost)) {
                return false;
            }
            (by_left > by_right ? high : low) = by_left > by_right ? right : left;
            const double here = std::max(by_left, by_right);
            if (here <= log_evidence) continue;
            log_evidence = here;
            lost = by_left > by_right ? left_lost : here_lost;
        }
    }
    // As if one of the limits tried held all there is.
    log_evidence -= numbers::log(limits);
    return true;
}

}  // namespace

double Climbs::chi_square() const {
    double sum = 0.0;
    for (int c = 0; c < count; ++c)
        sum += of[c].value * of[c].value / (of[c].uncertainty * of[c].uncertainty);
    return sum;
}

bool find_rubbing(const CornerPlaces& places, const CornerReadings& readings, const Climbs& climbs,
                  CornerLikelihood& likelihood, Rubbing& found) {
    RubbingSearch search(places, readings, climbs, likelihood);
    found = {};
    for (int p = 0; p < places.count(); ++p) {
        if (!places.is_own(p)) continue;
        double log_evidence = 0.0;
        CornerEstimate lost;
        if (!search.weigh(p, log_evidence, lost)) return false;
        if (!places.is_support(p)) log_evidence -= rare_log_odds;
        if (found.place < 0 || log_evidence > found.log_evidence) {
            found.log_odds = found.place < 0 ? 0.0 : log_evidence - found.log_evidence;
            found.other_place = found.place;
            found.place = p;
            found.lost = lost;
            found.log_evidence = log_evidence;
        } else if (found.other_place < 0 || found.log_evidence - log_evidence < found.log_odds) {
            found.other_place = p;
            found.log_odds = found.log_evidence - log_evidence;
        }
    }
    return true;
}

}  // namespace cornerbench::diagnosis
