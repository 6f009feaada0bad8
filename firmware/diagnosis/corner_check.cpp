#include "firmware/diagnosis/corner_check.h"

#include <cmath>

#include "firmware/diagnosis/corner_channels.h"
#include "firmware/diagnosis/corner_rubbing.h"
#include "firmware/diagnosis/corner_sum.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

constexpr double square(double x) {
    return x * x;
}

/// Sections stand one after the other, on something.
bool can_stand(const CornerScale& scale) {
    const scale::Deck& deck = scale.deck;
    if (deck.sections < 2 || deck.sections > scale::max_sections) return false;
    for (int s = 1; s < deck.sections; ++s) {
        if (!(deck.section_x_m[s] > deck.section_x_m[s - 1])) return false;
    }
    return deck.width_m > 0.0 && scale.support_stiffness_N_per_m > 0.0 && scale.gravity > 0.0;
}

class Judge {
  public:
    Judge(const CornerScale& scale, const CornerReadings& readings, const ChannelReadings* channels,
          CornerLikelihood& likelihood, CornerReport& report)
        : scale_(scale),
          readings_(readings),
          channels_(channels),
          likelihood_(likelihood),
          report_(report),
          sum_(scale, readings, channels),
          places_(scale.deck),
          n_(scale.supports()) {}

    CornerError run();

  private:
    void set_limits();
    void judge_places();
    void report_edits(const CornerEdits& edits);
    void measure_friction();
    bool rubs() const { return steepest_ >= 0 || stays_; }
    [[nodiscard]] bool try_rubbing(CornerSearch& search, CornerEdits& edits);
    void tell_friction(const CornerEdits& edits);
    void judge_common();

    const CornerScale& scale_;
    const CornerReadings& readings_;
    const ChannelReadings* channels_;
    CornerLikelihood& likelihood_;
    CornerReport& report_;
    CornerSum sum_;
    CornerPlaces places_;
    int n_ = 0;
    Climbs climbs_;
    int steepest_ = -1;       ///< the climb beyond chance, if any
    CornerEstimate left_kg_;  ///< what the empty deck shows more after the round
    bool stays_ = false;      ///< that is beyond chance
    Rubbing rubbing_;         ///< when it explains the readings best
    double one_sided_ = 0.0;
    int rows_ = 0;  ///< of the sum
    int first_edit_ = 0;
    bool seen_by_channels_ = false;
};

/// Every place, both ways, the corners' friction, each channel, and all rows, span and zero: Bonferroni.
void Judge::set_limits() {
    int tests = places_.count() + n_ + 3;
    if (channels_ != nullptr) tests += 2 * n_;
    const double each = scale_.false_alarms / tests;
    report_.limit_sigmas = numbers::normal_quantile(1.0 - 0.5 * each);
    one_sided_ = numbers::normal_quantile(1.0 - each);
}

void Judge::judge_places() {
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

void Judge::report_edits(const CornerEdits& edits) {
    first_edit_ = report_.count;
    for (int e = 0; e < edits.count; ++e) {
        const CornerEdit& edit = edits.of[e];
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
void Judge::measure_friction() {
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

bool Judge::try_rubbing(CornerSearch& search, CornerEdits& edits) {
    // One sound place that explains all needs no second opinion, unless there is friction.
    if (!rubs() && edits.count < 2 && search.explained()) return true;
    if (rows_ == 0 || seen_by_channels_) return true;
    double log_evidence = 0.0;
    if (!search.log_evidence(edits, log_evidence)) return false;
    log_evidence -= 0.5 * climbs_.chi_square();
    Rubbing found;
    if (!find_rubbing(places_, readings_, climbs_, likelihood_, found)) return false;
    if (found.place >= 0 && found.log_evidence > log_evidence) rubbing_ = found;
    return likelihood_.compare(search.gains(edits));
}

void Judge::tell_friction(const CornerEdits& edits) {
    for (int e = 0; e < edits.count && first_edit_ + e < report_.count; ++e) {
        CornerFinding& finding = report_.findings[first_edit_ + e];
        if (finding.kind != CornerFindingKind::carries_too_little) continue;
        bool both_ways = false;
        for (int c = 0; c < climbs_.count; ++c)
            both_ways = both_ways || climbs_.of[c].support == edits.of[e].place;
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

void Judge::judge_common() {
    report_.common = likelihood_.common();
    const double off = report_.common.value - 1.0;
    const double uncertainty = std::sqrt(square(report_.common.uncertainty) + square(scale_.span));
    report_.common.uncertainty = uncertainty;
    if (std::fabs(off) > report_.limit_sigmas * uncertainty) {
        report_.add(CornerFindingKind::all_corners_off, {}, {off, uncertainty}, std::fabs(off) / uncertainty);
    }
}

CornerError Judge::run() {
    if (readings_.supports() != n_ || (channels_ != nullptr && channels_->supports() != n_)) {
        return CornerError::no_such_support;
    }
    const PerSupport mass_kg = sum_.mass_kg();
    bool any = false;
    for (int i = 0; i < n_; ++i) any = any || mass_kg[i] > 0.0;
    if (!any) return CornerError::no_corner_reading;
    if (!sum_.has_zero()) return CornerError::no_empty_reading;
    if (!likelihood_.stand(scale_, mass_kg)) return CornerError::no_scale;

    set_limits();
    sum_.take(likelihood_);
    rows_ = likelihood_.rows();
    CornerSearch search(places_, likelihood_, report_.limit_sigmas, chi_square_limit(rows_, one_sided_));
    CornerEdits edits;
    if (!likelihood_.compare(search.gains(edits))) return CornerError::not_solvable;
    judge_places();
    if (channels_ != nullptr) {
        if (!judge_channels(scale_, *channels_, sum_, likelihood_, search, one_sided_, report_, edits)) {
            return CornerError::not_solvable;
        }
        seen_by_channels_ = edits.count > 0;
        sum_.take(likelihood_);
    }
    if (!search.run(edits)) return CornerError::not_solvable;
    measure_friction();
    if (!try_rubbing(search, edits)) return CornerError::not_solvable;
    if (rubbing_.place >= 0) {
        CornerFinding* finding = report_.add(CornerFindingKind::rubbing, places_.site(rubbing_.place),
                                             rubbing_.lost, rubbing_.lost.value / rubbing_.lost.uncertainty);
        if (finding != nullptr && rubbing_.other_place >= 0) {
            finding->other_place = places_.site(rubbing_.other_place);
            finding->log_odds = rubbing_.log_odds;
        }
        edits.count = 0;
    }
    report_edits(edits);
    tell_friction(edits);
    if (rows_ > 0 && rubbing_.place < 0) {
        judge_common();
        if (!search.explained()) {
            report_.add(CornerFindingKind::unexplained, {}, {likelihood_.chi_square(), 0.0},
                        std::sqrt(likelihood_.chi_square()));
        }
    }
    return CornerError::none;
}

}  // namespace

CornerReport CornerCheck::judge(const CornerScale& scale, const CornerReadings& readings,
                                const ChannelReadings* channels) {
    CornerReport report;
    report.error = CornerError::no_scale;
    if (!can_stand(scale)) return report;
    report.error = Judge(scale, readings, channels, likelihood_, report).run();
    if (report.error != CornerError::none) {
        report.count = 0;
    } else if (report.count > 0) {
        report.verdict = CornerVerdict::not_alike;
    } else if (report.unjudged == 0) {
        report.verdict = CornerVerdict::alike;
    }
    return report;
}

}  // namespace cornerbench::diagnosis
