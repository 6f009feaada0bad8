#include "firmware/diagnosis/corner_judge.h"

#include <cmath>

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

constexpr double square(double x) {
    return x * x;
}

}  // namespace

/// Every place, both ways, the corners' friction, each channel, and all rows, span and zero: Bonferroni.
void CornerJudge::set_limits() {
    int tests = places_.count() + n_ + 3;
    if (channels_ != nullptr) tests += 2 * n_;
    const double each = scale_.false_alarms / tests;
    report_.limit_sigmas = numbers::normal_quantile(1.0 - 0.5 * each);
    one_sided_ = numbers::normal_quantile(1.0 - each);
}

void CornerJudge::judge_places() {
    const double beyond = report_.limit_sigmas + numbers::normal_quantile(surely_found_share);
    for (int i = 0; i < n_; ++i) {
        report_.unread |= 1U << i;
        const CornerEstimate lost = likelihood_.along(places_.change(i));
        report_.gain[i] = {1.0 - lost.value, lost.uncertainty};
        report_.surely_found[i] = beyond * lost.uncertainty;
        if (!(report_.limit_sigmas * lost.uncertainty < 1.0)) report_.unjudged |= 1U << i;
    }
    for (int r = 0; r < rows_; ++r) report_.unread &= ~(1U << likelihood_.row(r).support);
}

void CornerJudge::report_edits() {
    first_edit_ = report_.count;
    for (int e = 0; e < edits_.count; ++e) {
        const CornerEdit& edit = edits_.of[e];
        CornerEstimate size = edit.lost;
        CornerFindingKind kind = CornerFindingKind::carries_too_little;
        switch (edit.state) {
            case CornerState::reversed:
                kind = CornerFindingKind::reversed_cell;
                size.value = 1.0 - size.value;
                break;
            case CornerState::dead:
                kind = CornerFindingKind::dead_cell;
                size.value = 1.0 - size.value;
                break;
            case CornerState::low:
                break;
            case CornerState::high:
                kind = CornerFindingKind::reads_too_much;
                size.value = -size.value;
                break;
        }
        CornerFinding* finding = report_.add(kind, places_.site(edit.place), size, edit.significance);
        if (finding != nullptr && edit.other_place >= 0) {
            finding->other_place = places_.site(edit.other_place);
            finding->log_odds = edit.log_odds;
        }
    }
}

/// Climbs and what stays on the empty deck. The mass may have been set down anew for the way down.
void CornerJudge::measure_friction() {
    double most = report_.limit_sigmas;
    for (int i = 0; i < n_; ++i) {
        const CornerReading& corner = readings_.corner(i);
        if (corner.loaded.count == 0 || corner.unloading.count == 0) continue;
        const double by_readings = variance_kg2(corner.loaded, scale_) +
                                   variance_kg2(corner.unloading, scale_) + square(scale_.hysteresis_kg);
        const double u =
            std::sqrt(by_readings / square(corner.mass_kg) + 2.0 * likelihood_.placing_variance(i));
        const double value = (corner.unloading.kg() - corner.loaded.kg()) / corner.mass_kg;
        climbs_.of[climbs_.count++] = {i, value, u};
        if (std::fabs(value) > most * u) {
            most = std::fabs(value) / u;
            steepest_ = climbs_.count - 1;
        }
    }
    if (readings_.empty().count == 0 || readings_.returned().count == 0) return;
    left_kg_.value = readings_.returned().kg() - readings_.empty().kg();
    left_kg_.uncertainty =
        std::sqrt(variance_kg2(readings_.empty(), scale_) + variance_kg2(readings_.returned(), scale_) +
                  square(scale_.zero_return_kg));
    stays_ = std::fabs(left_kg_.value) > report_.limit_sigmas * left_kg_.uncertainty;
}

void CornerJudge::tell_friction() {
    for (int e = 0; e < edits_.count && first_edit_ + e < report_.count; ++e) {
        CornerFinding& finding = report_.findings[first_edit_ + e];
        if (finding.kind != CornerFindingKind::carries_too_little) continue;
        bool both_ways = false;
        for (int c = 0; c < climbs_.count; ++c)
            both_ways = both_ways || climbs_.of[c].support == edits_.of[e].place;
        if (rubs()) {
            finding.kind = CornerFindingKind::rubbing;
        } else if (both_ways) {
            finding.kind = CornerFindingKind::bound_or_weak;
        }
    }
    if (steepest_ >= 0) {
        const Climb& climb = climbs_.of[steepest_];
        const double mass_kg = readings_.corner(climb.support).mass_kg;
        report_.add(CornerFindingKind::friction, places_.site(climb.support),
                    {climb.value * mass_kg, climb.uncertainty * mass_kg},
                    std::fabs(climb.value) / climb.uncertainty);
    }
    if (stays_) {
        report_.add(CornerFindingKind::friction, {}, left_kg_,
                    std::fabs(left_kg_.value) / left_kg_.uncertainty);
    }
}

void CornerJudge::judge_common() {
    report_.common = likelihood_.common();
    const double off = report_.common.value - 1.0;
    const double uncertainty = std::sqrt(square(report_.common.uncertainty) + square(scale_.span));
    report_.common.uncertainty = uncertainty;
    if (std::fabs(off) > report_.limit_sigmas * uncertainty) {
        report_.add(CornerFindingKind::all_corners_off, {}, {off, uncertainty}, std::fabs(off) / uncertainty);
    }
}

CornerError CornerJudge::begin() {
    if (readings_.supports() != n_ || (channels_ != nullptr && channels_->supports() != n_)) {
        return CornerError::no_such_support;
    }
    const PerSupport mass_kg = sum_.mass_kg();
    bool any = false;
    for (int i = 0; i < n_; ++i) any = any || mass_kg[i] > 0.0;
    if (!any) return CornerError::no_corner_reading;
    return sum_.has_zero() ? CornerError::working : CornerError::no_empty_reading;
}

bool CornerJudge::stand() {
    set_limits();
    sum_.take(likelihood_);
    rows_ = likelihood_.rows();
    search_.emplace(places_, likelihood_, report_.limit_sigmas, chi_square_limit(rows_, one_sided_));
    if (!likelihood_.compare(search_->gains(edits_))) return false;
    judge_places();
    return true;
}

/// The evidence for what the search has found, where rubbing may explain the readings as well.
bool CornerJudge::weigh_other() {
    measure_friction();
    stage_ = Stage::telling;
    // One sound place that explains all needs no second opinion, unless there is friction.
    if (!rubs() && edits_.count < 2 && search_->explained()) return true;
    if (rows_ == 0 || seen_by_channels_) return true;
    if (!search_->log_evidence(edits_, log_evidence_)) return false;
    log_evidence_ -= 0.5 * climbs_.chi_square();
    part_.emplace<RubbingSearch>(places_, readings_, climbs_, likelihood_);
    stage_ = Stage::rubbing;
    return true;
}

bool CornerJudge::compare_rubbing() {
    stage_ = Stage::telling;
    const Rubbing& found = std::get_if<RubbingSearch>(&part_)->found();
    if (found.place >= 0 && found.log_evidence > log_evidence_) rubbing_ = found;
    return likelihood_.compare(search_->gains(edits_));
}

void CornerJudge::tell() {
    if (rubbing_.place >= 0) {
        CornerFinding* finding = report_.add(CornerFindingKind::rubbing, places_.site(rubbing_.place),
                                             rubbing_.lost, rubbing_.lost.value / rubbing_.lost.uncertainty);
        if (finding != nullptr && rubbing_.other_place >= 0) {
            finding->other_place = places_.site(rubbing_.other_place);
            finding->log_odds = rubbing_.log_odds;
        }
        edits_.count = 0;
    }
    report_edits();
    tell_friction();
    if (rows_ == 0 || rubbing_.place >= 0) return;
    judge_common();
    if (!search_->explained()) {
        report_.add(CornerFindingKind::unexplained, {}, {likelihood_.chi_square(), 0.0},
                    std::sqrt(likelihood_.chi_square()));
    }
}

CornerError CornerJudge::step() {
    SearchState state = SearchState::working;
    switch (stage_) {
        case Stage::standing:
            if (!likelihood_.stand(scale_, sum_.mass_kg())) return CornerError::no_scale;
            if (!stand()) return CornerError::not_solvable;
            if (channels_ != nullptr) {
                part_.emplace<ChannelJudge>(scale_, *channels_, sum_, likelihood_, *search_, one_sided_,
                                            report_, edits_);
                stage_ = Stage::channels;
            } else {
                search_->begin(edits_);
                stage_ = Stage::sum;
            }
            return CornerError::working;
        case Stage::channels:
            state = std::get_if<ChannelJudge>(&part_)->step();
            if (state != SearchState::done) break;
            seen_by_channels_ = edits_.count > 0;
            sum_.take(likelihood_);
            search_->begin(edits_);
            stage_ = Stage::sum;
            return CornerError::working;
        case Stage::sum:
            state = search_->step();
            if (state == SearchState::done) stage_ = Stage::other;
            break;
        case Stage::other:
            return weigh_other() ? CornerError::working : CornerError::not_solvable;
        case Stage::rubbing:
            state = std::get_if<RubbingSearch>(&part_)->step();
            if (state != SearchState::done) break;
            return compare_rubbing() ? CornerError::working : CornerError::not_solvable;
        case Stage::telling:
            tell();
            return CornerError::none;
    }
    return state == SearchState::failed ? CornerError::not_solvable : CornerError::working;
}

}  // namespace cornerbench::diagnosis
