#include "firmware/diagnosis/corner_search.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "firmware/mechanics/deck.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

using scale::SiteKind;

namespace {

/// A cell gives at most so many times its share more than it should: a third of the rating in its place.
constexpr double most_gained = 2.0;

/// A place is weighed when it is off by so much of the farthest one's standard uncertainties.
constexpr double near_farthest = 0.6;

constexpr double root_2pi = 2.50662827463100050242;

constexpr CornerState states[] = {CornerState::reversed, CornerState::dead, CornerState::low,
                                  CornerState::high};

int find_place(const CornerEdits& edits, int place) {
    for (int e = 0; e < edits.count; ++e) {
        if (edits.of[e].place == place) return e;
    }
    return -1;
}

void add_times(double size, const PerSupport& change, PerSupport& gain) {
    for (std::size_t j = 0; j < gain.size(); ++j) gain[j] += size * change[j];
}

/// Share lost as the state has it: a number of its own, or whatever fits.
double lost_by(const CornerEdit& edit) {
    return edit.state == CornerState::reversed ? 2.0
           : edit.state == CornerState::dead   ? 1.0
                                               : edit.lost.value;
}

}  // namespace

double chi_square_limit(int rows, double sigmas) {
    if (rows == 0) return std::numeric_limits<double>::infinity();
    const double part = 2.0 / (9.0 * rows);
    const double root = 1.0 - part + sigmas * std::sqrt(part);
    return rows * root * root * root;
}

scale::Site CornerPlaces::site(int place) const {
    if (is_support(place)) return {SiteKind::support, place, 0};
    constexpr SiteKind sides[] = {SiteKind::far_side, SiteKind::near_side, SiteKind::left_end,
                                  SiteKind::right_end};
    return {sides[place - supports()], 0, 0};
}

PerSupport CornerPlaces::change(int place) const {
    PerSupport weight{};
    if (is_support(place)) {
        weight[place] = -1.0;
        return weight;
    }
    const double left_m = deck_.section_x_m[0];
    const double right_m = deck_.section_x_m[deck_.sections - 1];
    switch (site(place).kind) {
        case SiteKind::far_side:
            weight = mechanics::node_shares(deck_, 0.5 * (left_m + right_m), deck_.width_m);
            break;
        case SiteKind::near_side:
            weight = mechanics::node_shares(deck_, 0.5 * (left_m + right_m), 0.0);
            break;
        case SiteKind::left_end:
            weight = mechanics::node_shares(deck_, left_m - deck_.overhang_m, 0.5 * deck_.width_m);
            break;
        default:
            weight = mechanics::node_shares(deck_, right_m + deck_.overhang_m, 0.5 * deck_.width_m);
            break;
    }
    for (double& w : weight) w = -w;
    return weight;
}

bool CornerPlaces::is_own(int place) const {
    constexpr double nearly_all = 0.9;
    if (is_support(place)) return true;
    for (const double w : change(place)) {
        if (-w > nearly_all) return false;
    }
    return true;
}

PerSupport CornerSearch::gains(const CornerEdits& edits, int without) const {
    PerSupport gain{};
    for (int j = 0; j < places_.supports(); ++j) gain[j] = 1.0;
    for (int e = 0; e < edits.count; ++e) {
        if (e != without) add_times(lost_by(edits.of[e]), places_.change(edits.of[e].place), gain);
    }
    return gain;
}

bool CornerSearch::is_off(double& farthest) const {
    farthest = 0.0;
    for (int p = 0; p < places_.count(); ++p) {
        const CornerEstimate more = likelihood_.along(places_.change(p));
        farthest = std::max(farthest, std::fabs(more.value) / more.uncertainty);
    }
    return farthest > sigmas_ || likelihood_.chi_square() > chi_square_;
}

bool CornerSearch::weigh(const PerSupport& gain, const PerSupport& change, const CornerEstimate& first,
                         Candidate& candidate) {
    CornerEdit& edit = candidate.edit;
    const bool too_much = edit.state == CornerState::high;
    // A contact that gave way not at all would take so much; a cell that is only weak at most its own share.
    double own = 0.0;
    for (int j = 0; j < places_.supports(); ++j) {
        for (int k = 0; k < places_.supports(); ++k) {
            own += change[j] * likelihood_.shares().of(j, k) * change[k];
        }
    }
    const double low = too_much ? -most_gained : 0.0;
    const double high = too_much ? 0.0 : 1.0 / own;

    edit.lost.value = std::clamp(first.value, low, high);
    const double taken = lost_by(edit);
    PerSupport changed = gain;
    add_times(taken, change, changed);
    if (!likelihood_.compare(changed)) return false;
    const CornerEstimate more = likelihood_.along(change);
    edit.lost = {taken + more.value, more.uncertainty};
    edit.significance = std::fabs(first.value) / first.uncertainty;
    candidate.log_evidence = likelihood_.log_evidence();
    if (edit.state == CornerState::low || too_much) {
        // All sizes within the range alike before the readings: the mean of their likelihoods.
        const double u = more.uncertainty;
        const double off = more.value / u;
        candidate.log_evidence +=
            0.5 * off * off + numbers::log(u * root_2pi / (high - low)) +
            numbers::log_normal_between((low - edit.lost.value) / u, (high - edit.lost.value) / u);
    }
    // A state of its own number whose readings say another is none, however wide its covariance.
    candidate.found = std::fabs(edit.lost.value - lost_by(edit)) <= sigmas_ * edit.lost.uncertainty;
    return true;
}

bool CornerSearch::consider(const CornerEdits& edits, int place, double least_sigmas, Candidate& best,
                            Candidate& second) {
    const PerSupport change = places_.change(place);
    const PerSupport gain = gains(edits, find_place(edits, place));
    if (!likelihood_.compare(gain)) return false;
    const CornerEstimate first = likelihood_.along(change);
    if (!(std::fabs(first.value) >= least_sigmas * first.uncertainty)) return true;
    if (!(first.uncertainty < std::numeric_limits<double>::infinity())) return true;
    Candidate here;
    for (const CornerState state : states) {
        if (!places_.is_support(place) && state != CornerState::low) continue;
        Candidate candidate;
        candidate.edit.place = place;
        candidate.edit.state = state;
        if (!weigh(gain, change, first, candidate)) return false;
        if (!candidate.found) continue;
        if (!here.found || candidate.log_evidence > here.log_evidence) here = candidate;
    }
    if (!here.found) return true;
    if (!places_.is_support(place)) here.log_evidence -= rare_log_odds;
    if (!best.found || here.log_evidence > best.log_evidence) {
        second = best;
        best = here;
    } else if (!second.found || here.log_evidence > second.log_evidence) {
        second = here;
    }
    return true;
}

bool CornerSearch::refit(CornerEdits& edits) {
    constexpr int sweeps = 3;
    for (int sweep = 0; sweep < sweeps; ++sweep) {
        for (int e = 0; e < edits.count; ++e) {
            CornerEdit& edit = edits.of[e];
            if (!likelihood_.compare(gains(edits))) return false;
            const CornerEstimate more = likelihood_.along(places_.change(edit.place));
            // What the rows do not feel stays as it was found.
            if (!(more.uncertainty < std::numeric_limits<double>::infinity())) continue;
            edit.lost = {lost_by(edit) + more.value, more.uncertainty};
        }
    }
    return likelihood_.compare(gains(edits));
}

bool CornerSearch::name_states(CornerEdits& edits) {
    bool named = false;
    for (int e = 0; e < edits.count; ++e) {
        CornerEdit& edit = edits.of[e];
        const double reach = sigmas_ * edit.lost.uncertainty;
        // A cell against its arrow and a dead one are far more common than a share that comes near them by
        // chance: only what is surely neither is called a share. Where both are near, the evidence has
        // chosen.
        if (edit.state != CornerState::low || !places_.is_support(edit.place) || !(reach < 0.5)) continue;
        const CornerState near = edit.lost.value > 1.5 ? CornerState::reversed : CornerState::dead;
        if (std::fabs(edit.lost.value - (near == CornerState::reversed ? 2.0 : 1.0)) > reach) continue;
        edit.state = near;
        named = true;
    }
    return !named || refit(edits);
}

bool CornerSearch::log_evidence(CornerEdits& edits, double& result) {
    if (!refit(edits)) return false;
    result = likelihood_.log_evidence();
    if (edits.count > 1) result -= (edits.count - 1) * (numbers::log(places_.count()) + rare_log_odds);
    for (int e = 0; e < edits.count; ++e) {
        if (edits.of[e].state == CornerState::low || edits.of[e].state == CornerState::high) {
            result += numbers::log(edits.of[e].lost.uncertainty * root_2pi);
        }
        if (!places_.is_support(edits.of[e].place)) result -= rare_log_odds;
    }
    return true;
}

void CornerSearch::begin(CornerEdits& edits) {
    edits_ = &edits;
    explained_ = false;
    pass_ = 0;
    place_ = -1;
}

SearchState CornerSearch::step() {
    if (place_ < 0) return begin_pass();
    if (place_ == places_.count()) return end_pass();
    const int place = place_++;
    if (places_.is_own(place) && !consider(*edits_, place, least_sigmas_, best_, second_))
        return SearchState::failed;
    return SearchState::working;
}

SearchState CornerSearch::begin_pass() {
    constexpr int most_passes = 2 * max_edits;
    if (!refit(*edits_) || !name_states(*edits_)) return SearchState::failed;
    double farthest = 0.0;
    explained_ = !is_off(farthest);
    if (explained_ || pass_ == most_passes || edits_->count == max_edits) return finish();
    // A place that comes not near the farthest explains little, and would only widen the covariance.
    least_sigmas_ = near_farthest * farthest;
    best_ = {};
    second_ = {};
    place_ = 0;
    return SearchState::working;
}

SearchState CornerSearch::end_pass() {
    if (!best_.found) return finish();
    CornerEdits& edits = *edits_;
    if (second_.found) {
        best_.edit.other_place = second_.edit.place;
        best_.edit.log_odds = best_.log_evidence - second_.log_evidence;
    }
    const int before = find_place(edits, best_.edit.place);
    if (before < 0) {
        edits.of[edits.count++] = best_.edit;
    } else {
        if (best_.edit.state == edits.of[before].state) return finish();
        best_.edit.significance = edits.of[before].significance;
        edits.of[before] = best_.edit;
    }
    ++pass_;
    place_ = -1;
    return SearchState::working;
}

SearchState CornerSearch::finish() {
    return likelihood_.compare(gains(*edits_)) ? SearchState::done : SearchState::failed;
}

}  // namespace cornerbench::diagnosis
