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

}  // namespace

void RubbingSearch::follow(double limit_kg) {
    PerSupport up{};
    PerSupport down{};
    Contact contact(limit_kg);
    for (int order = 0; order < places_.supports(); ++order) {
        for (int i = 0; i < places_.supports(); ++i) {
            const CornerReading& corner = readings_.corner(i);
            if (corner.mass_kg == 0.0 || corner.order != order) continue;
            const double at_rest = contact.move_to(0.0);
            const double zero = corner.own_zero ? at_rest : 0.0;
            up[i] = (contact.move_to(free_kg_[i]) - zero) / corner.mass_kg;
            if (corner.unloading.count == 0) continue;
            contact.move_to(free_kg_[i] * static_cast<double>(corner.came_down_from));
            down[i] = (contact.move_to(free_kg_[i]) - zero) / corner.mass_kg;
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

bool RubbingSearch::fit(double& log_evidence, CornerEstimate& q) {
    CornerEstimate first;
    if (!fit_at(0.0, 0.0, log_evidence, first)) return false;
    if (!(first.uncertainty < std::numeric_limits<double>::infinity())) return true;
    const double before = std::clamp(first.value, 0.0, stiffest_);
    log_evidence = -std::numeric_limits<double>::infinity();
    for (const double left_open : model_uncertainty) {
        double here = 0.0;
        CornerEstimate more;
        if (!fit_at(before, left_open, here, more)) return false;
        if (here <= log_evidence) continue;
        log_evidence = here;
        q = more;
    }
    return true;
}

bool RubbingSearch::fit_at(double before, double left_open, double& log_evidence, CornerEstimate& q) {
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
    log_evidence += 0.5 * score * more + numbers::log(u * root_2pi / stiffest_) +
                    numbers::log_normal_between(-q.value / u, (stiffest_ - q.value) / u);
    return true;
}

bool RubbingSearch::weigh_limit(double limit_kg, double& log_evidence, CornerEstimate& lost) {
    follow(limit_kg);
    CornerEstimate q;
    if (!fit(log_evidence, q)) return false;
    double most = 0.0;
    for (int r = 0; r < likelihood_.rows(); ++r) most = std::max(most, taken_[r]);
    lost = {q.value * most, q.uncertainty * most};
    return true;
}

bool RubbingSearch::begin_place() {
    const CornerShares& shares = likelihood_.shares();
    change_ = places_.change(place_);
    never_slides_ = 0.0;
    free_kg_ = {};
    furthest_kg_ = 0.0;
    double give = 0.0;
    for (int i = 0; i < places_.supports(); ++i) {
        double moved = 0.0;
        for (int j = 0; j < places_.supports(); ++j) moved -= shares.of(i, j) * change_[j];
        never_slides_ = std::max(never_slides_, moved);
        give -= change_[i] * moved;
        free_kg_[i] = readings_.corner(i).mass_kg * moved;
        furthest_kg_ = std::max(furthest_kg_, std::fabs(free_kg_[i]));
    }
    stiffest_ = 1.0 / give;
    best_limit_kg_ = 4.0 * furthest_kg_;
    limit_kg_ = furthest_kg_;
    tried_ = 1;
    stage_ = Stage::limits;
    return weigh_limit(best_limit_kg_, log_evidence_, lost_);
}

bool RubbingSearch::try_limit() {
    if (tried_ == limits) {
        tried_ = 0;
        low_kg_ = best_limit_kg_ * step_of_limit;
        high_kg_ = best_limit_kg_ / step_of_limit;
        stage_ = Stage::refining;
        if (best_limit_kg_ > furthest_kg_) end_place();
        return true;
    }
    double here = 0.0;
    CornerEstimate here_lost;
    if (!weigh_limit(limit_kg_, here, here_lost)) return false;
    if (here > log_evidence_) {
        log_evidence_ = here;
        lost_ = here_lost;
        best_limit_kg_ = limit_kg_;
    }
    ++tried_;
    limit_kg_ *= step_of_limit;
    return true;
}

bool RubbingSearch::refine() {
    const double left = high_kg_ - golden * (high_kg_ - low_kg_);
    const double right = low_kg_ + golden * (high_kg_ - low_kg_);
    double by_left = 0.0;
    double by_right = 0.0;
    CornerEstimate left_lost;
    CornerEstimate right_lost;
    if (!weigh_limit(left, by_left, left_lost) || !weigh_limit(right, by_right, right_lost)) return false;
    (by_left > by_right ? high_kg_ : low_kg_) = by_left > by_right ? right : left;
    const double here = std::max(by_left, by_right);
    if (here > log_evidence_) {
        log_evidence_ = here;
        lost_ = by_left > by_right ? left_lost : right_lost;
    }
    if (++tried_ == refinements) end_place();
    return true;
}

void RubbingSearch::end_place() {
    stage_ = Stage::place;
    // As if one of the limits tried held all there is.
    log_evidence_ -= numbers::log(limits);
    const int place = place_++;
    if (!places_.is_support(place)) log_evidence_ -= rare_log_odds;
    if (found_.place < 0 || log_evidence_ > found_.log_evidence) {
        found_.log_odds = found_.place < 0 ? 0.0 : log_evidence_ - found_.log_evidence;
        found_.other_place = found_.place;
        found_.place = place;
        found_.lost = lost_;
        found_.log_evidence = log_evidence_;
    } else if (found_.other_place < 0 || found_.log_evidence - log_evidence_ < found_.log_odds) {
        found_.other_place = place;
        found_.log_odds = found_.log_evidence - log_evidence_;
    }
}

SearchState RubbingSearch::step() {
    bool well = true;
    switch (stage_) {
        case Stage::place:
            while (place_ < places_.count() && !places_.is_own(place_)) ++place_;
            if (place_ == places_.count()) return SearchState::done;
            well = begin_place();
            break;
        case Stage::limits:
            well = try_limit();
            break;
        case Stage::refining:
            well = refine();
            break;
    }
    return well ? SearchState::working : SearchState::failed;
}

double Climbs::chi_square() const {
    double sum = 0.0;
    for (int c = 0; c < count; ++c)
        sum += of[c].value * of[c].value / (of[c].uncertainty * of[c].uncertainty);
    return sum;
}

}  // namespace cornerbench::diagnosis
