#include "firmware/diagnosis/trim_solver.h"

#include <algorithm>
#include <cmath>

#include "firmware/diagnosis/trim_fewest.h"
#include "firmware/diagnosis/trim_range.h"
#include "firmware/diagnosis/trim_spread.h"
#include "firmware/diagnosis/trim_steps.h"
#include "firmware/diagnosis/trim_unknowns.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

// Half or twice its share: no trim is meant for that, and no tolerance explains it.
constexpr double most_plausible_log_gain = 0.69314718055994531;

// One sheet of ten good readings in some 1600 has one as far off.
constexpr double disagreeing_score = 4.0;

class Solver {
  public:
    Solver(const TrimQuestion& question, CornerModel& model)
        : question_(question), description_(question.description), model_(model), n_(model_.count()) {
        solution_.corner_count = n_;
        solution_.digital = model_.per_cell();
        solution_.zero_before_each = question.zero_before_each;
    }

    TrimSolution run() {
        solution_.verdict = verdict();
        if (solution_.verdict == TrimVerdict::solved) plan_steps();
        return solution_;
    }

  private:
    std::span<CornerTrim> corners() { return std::span(solution_.corners).first(static_cast<unsigned>(n_)); }
    TrimVerdict can_trim() const;
    TrimVerdict verdict();
    TrimVerdict estimate();
    void note_gains();
    void judge_spread_before();
    TrimVerdict find();
    void note_setting(unsigned i, double at);
    int changes() const;
    void touch_fewest(CellMatrix& per_log_gain);
    void note_setting_sd(const CellMatrix& per_log_gain);
    void stay();
    void weigh_after();
    CornerSlopes corner_slopes() const;
    TrimUnknowns unknowns();
    double ohms(double at) const {
        return solution_.digital ? 0.0 : scale::trim_variable_ohm(description_.trim, at);
    }
    void use_empty_signals();
    double empty_sd_kg(unsigned cell) const;
    void plan_steps();

    const TrimQuestion& question_;
    const scale::Description& description_;
    CornerModel& model_;
    int n_;
    TrimSolution solution_;
    GainEstimate estimate_;
    CornerLoads loads_;
    double extra_N_ = 0.0;
    double mean_slope_before_ = 0.0;
    std::array<bool, scale::max_cells> empty_signal_read_{};
};

TrimVerdict Solver::can_trim() const {
    if (solution_.digital) return TrimVerdict::solved;
    const scale::Trim& trim = description_.trim;
    if (trim.kind == scale::TrimKind::none || !(trim.total_ohm > 0.0)) return TrimVerdict::no_trim;
    if (trim.kind == scale::TrimKind::signal_shunt && !(trim.mixing_ohm > 0.0)) {
        return TrimVerdict::shunt_without_mixing;
    }
    return TrimVerdict::solved;
}

TrimVerdict Solver::estimate() {
    if (find_missing_corners(description_, question_.sheet, solution_.missing) > 0) {
        const auto first = std::find(solution_.missing.begin(), solution_.missing.end(), true);
        solution_.corner = static_cast<int>(first - solution_.missing.begin());
        return TrimVerdict::missing_corner;
    }
    estimate_ = estimate_gains(description_, question_.sheet, model_);
    solution_.resolution_kg = estimate_.resolution_kg;
    if (estimate_.outcome == GainEstimate::Outcome::deck) return TrimVerdict::deck_error;
    PerCell sorted = estimate_.log_gain;
    std::sort(sorted.begin(), sorted.begin() + n_);
    const double usual = sorted[static_cast<unsigned>(n_ / 2)];
    double furthest = 0.0;
    for (int i = 0; i < n_; ++i) {
        const double off = std::fabs(estimate_.log_gain[static_cast<unsigned>(i)] - usual);
        if (off <= furthest) continue;
        furthest = off;
        solution_.corner = i;
    }
    if (furthest > most_plausible_log_gain) return TrimVerdict::implausible_gain;
    solution_.corner = -1;
    if (estimate_.outcome != GainEstimate::Outcome::done || !(estimate_.kg_per_ratio > 0.0)) {
        return TrimVerdict::not_solvable;
    }
    solution_.reading_score = estimate_.worst_residual;
    if (estimate_.worst_residual > disagreeing_score) {
        solution_.reading = estimate_.worst_reading;
        return TrimVerdict::readings_disagree;
    }
    return TrimVerdict::solved;
}

void Solver::note_gains() {
    double mean = 0.0;
    for (int i = 0; i < n_; ++i) mean += model_.gain(i) / n_;
    const auto n = static_cast<unsigned>(n_);
    const PerCell weights = corner_weights(model_, loads_, estimate_.kg_per_ratio);
    for (unsigned i = 0; i < n; ++i) {
        CornerTrim& corner = solution_.corners[i];
        corner.relative_gain = model_.gain(static_cast<int>(i)) / mean;
        // Of the gain over the mean of all: the common part is the span's.
        double variance = 0.0;
        for (unsigned a = 0; a < n; ++a) {
            for (unsigned b = 0; b < n; ++b) {
                const double of_a = (a == i ? 1.0 : 0.0) - 1.0 / n;
                const double of_b = (b == i ? 1.0 : 0.0) - 1.0 / n;
                variance += of_a * of_b * estimate_.covariance[a * n + b];
            }
        }
        corner.relative_gain_sd = corner.relative_gain * std::sqrt(variance);
        corner.present_at = model_.setting(static_cast<int>(i));
        corner.present_ohm = ohms(corner.present_at);
        corner.mass_kg = loads_.mass_kg[i];
        corner.before_kg = weights[i];
    }
    solution_.reference_kg = loads_.reference_kg;
    solution_.spread_before_kg = spread_kg(std::span(weights).first(n), loads_);
}

CornerSlopes Solver::corner_slopes() const {
    CornerSlopes slopes;
    slopes.n = n_;
    const auto n = static_cast<unsigned>(n_);
    PerCell empty{};
    const double empty_ratio = model_.ratio(model_.empty(), empty);
    for (unsigned i = 0; i < n; ++i) {
        PerCell loaded{};
        const double change = model_.ratio(loads_.forces[i], loaded) - empty_ratio;
        for (unsigned k = 0; k < n; ++k) slopes.per_log_gain[i * n + k] = (loaded[k] - empty[k]) / change;
    }
    return slopes;
}

TrimUnknowns Solver::unknowns() {
    double variance = 0.0;
    for (const Reading& r : question_.sheet.readings) {
        if (!usable_weight(r) || r.load.count == 0) continue;
        const double sd_kg =
            weight_sd_kg(r, question_.sheet.instruments, description_.division_kg, estimate_.resolution_kg);
        variance += sd_kg * sd_kg / estimate_.readings;
    }
    const double display_sd_kg = std::sqrt(variance);  // as good as the readings were
    TrimUnknowns u;
    u.gain_covariance = &estimate_.covariance;
    for (unsigned i = 0; i < static_cast<unsigned>(n_); ++i) {
        const int cell = static_cast<int>(i);
        u.stays[i] = solution_.corners[i].stays;
        u.setting[i] = u.stays[i] ? 0.0 : setting_sd(model_, cell, extra_N_, question_.setting_turns);
        u.model[i] = change_sd(description_, model_, cell, extra_N_, solution_.corners[i].present_at);
        u.display[i] = display_sd_kg / loads_.mass_kg[i];
    }
    return u;
}

void Solver::judge_spread_before() {
    TrimUnknowns u;
    u.gain_covariance = &estimate_.covariance;
    solution_.readings_alone = spread_of_readings(corner_slopes(), u, loads_.reference_kg);
}

void Solver::stay() {
    for (CornerTrim& corner : corners()) {
        corner.at = corner.present_at;
        corner.stays = true;
        corner.fitted_at = corner.present_at;
        corner.ohm = corner.present_ohm;
        corner.fitted_ohm = corner.present_ohm;
    }
}

void Solver::note_setting(unsigned i, double at) {
    CornerTrim& corner = solution_.corners[i];
    corner.at = at;
    corner.fitted_at = at;
    if (!solution_.digital) {
        const scale::Trim& trim = description_.trim;
        corner.beyond_ohm = beyond_ohm(trim, at);
        corner.at = std::clamp(at, 0.0, scale::trim_last_position(trim));
        corner.fitted_at = fitted_position(trim, corner.at, corner.present_at);
    }
    corner.ohm = ohms(corner.at);
    corner.fitted_ohm = ohms(corner.fitted_at);
}

/// Trims that have to be touched.
int Solver::changes() const {
    const double unnoticed = description_.trim.turns > 0.0 ? question_.setting_turns : 0.0;
    int count = 0;
    for (unsigned i = 0; i < static_cast<unsigned>(n_); ++i) {
        const CornerTrim& corner = solution_.corners[i];
        if (std::fabs(corner.fitted_at - corner.present_at) > unnoticed) ++count;
    }
    return count;
}

/// Takes settings that leave more trims alone, if there are any.
void Solver::touch_fewest(CellMatrix& per_log_gain) {
    const auto n = static_cast<unsigned>(n_);
    for (unsigned i = 0; i < n; ++i) {
        model_.set_setting(static_cast<int>(i), solution_.corners[i].present_at);
    }
    const FewestChanges fewest = find_fewest_changes(model_, corner_slopes(), solution_.readings_alone,
                                                     loads_.reference_kg, extra_N_, n_ - changes() + 1);
    if (!fewest.found) return;
    for (unsigned i = 0; i < n; ++i) {
        note_setting(i, fewest.at[i]);
        CornerTrim& corner = solution_.corners[i];
        corner.stays = fewest.stays[i];
        corner.at_stop = false;
        if (!corner.stays) continue;
        corner.fitted_at = corner.present_at;
        corner.fitted_ohm = corner.present_ohm;
    }
    per_log_gain = fewest.per_log_gain;
}

void Solver::note_setting_sd(const CellMatrix& per_log_gain) {
    const auto n = static_cast<unsigned>(n_);
    for (unsigned i = 0; i < n; ++i) {
        double variance = 0.0;
        const double* row = &per_log_gain[i * n];
        for (unsigned a = 0; a < n; ++a) {
            for (unsigned b = 0; b < n; ++b) variance += row[a] * row[b] * estimate_.covariance[a * n + b];
            const double error = row[a] * change_sd(description_, model_, static_cast<int>(a), extra_N_,
                                                    solution_.corners[a].present_at);
            variance += error * error;
        }
        solution_.corners[i].at_sd = std::sqrt(variance);
    }
}

/// Computes settings and brings the model to what will be fitted.
TrimVerdict Solver::find() {
    PerCell slope{};
    model_.cell_slopes(extra_N_, slope);
    for (int i = 0; i < n_; ++i) mean_slope_before_ += slope[static_cast<unsigned>(i)] / n_;
    const Settings settings = find_settings(model_, extra_N_);
    if (!settings.found) return TrimVerdict::not_solvable;

    const auto n = static_cast<unsigned>(n_);
    TrimVerdict result = TrimVerdict::solved;
    double furthest = 0.0;
    for (unsigned i = 0; i < n; ++i) {
        note_setting(i, settings.at[i]);
        CornerTrim& corner = solution_.corners[i];
        corner.at_stop = settings.reference == static_cast<int>(i);
        if (corner.beyond_ohm > furthest) {
            furthest = corner.beyond_ohm;
            solution_.corner = static_cast<int>(i);
            result = TrimVerdict::out_of_range;
        }
    }
    CellMatrix per_log_gain = settings.per_log_gain;
    const bool few =
        result == TrimVerdict::solved && !question_.even_if_within_uncertainty && !solution_.digital;
    if (few) touch_fewest(per_log_gain);
    for (unsigned i = 0; i < n; ++i) {
        model_.set_setting(static_cast<int>(i), solution_.corners[i].fitted_at);
    }
    note_setting_sd(per_log_gain);
    return result;
}

/// What all corners weigh at the model's settings, and what that leaves to do.
void Solver::weigh_after() {
    const auto n = static_cast<unsigned>(n_);
    const PerCell weights = corner_weights(model_, loads_, estimate_.kg_per_ratio);
    PerCell slope{};
    model_.cell_slopes(extra_N_, slope);
    double mean_slope = 0.0;
    double shown = 0.0;
    for (unsigned i = 0; i < n; ++i) {
        solution_.corners[i].after_kg = weights[i];
        shown += weights[i] / loads_.mass_kg[i] / n;
        mean_slope += slope[i] / n;
    }
    solution_.spread_after_kg = spread_kg(std::span(weights).first(n), loads_);
    solution_.shown_per_kg = shown;
    solution_.span_factor = shown > 0.0 ? 1.0 / shown : 1.0;
    solution_.signal_change = mean_slope_before_ > 0.0 ? mean_slope / mean_slope_before_ : 1.0;
}

TrimVerdict Solver::verdict() {
    const TrimVerdict able = can_trim();
    if (able != TrimVerdict::solved) return able;
    const TrimVerdict estimated = estimate();
    if (estimated != TrimVerdict::solved) return estimated;
    use_empty_signals();
    loads_ = corner_loads(description_, question_.sheet, model_);
    for (int i = 0; i < n_; ++i) {
        if (loads_.forces[static_cast<unsigned>(i)].error != mechanics::DeckError::none) {
            return TrimVerdict::deck_error;
        }
    }
    extra_N_ = loads_.reference_kg * description_.gravity;
    note_gains();
    judge_spread_before();
    if (!question_.even_if_within_uncertainty &&
        solution_.spread_before_kg <= solution_.readings_alone.expected_kg) {
        stay();
        weigh_after();
        return TrimVerdict::leave_it;
    }
    const TrimVerdict found = find();
    if (found == TrimVerdict::not_solvable) return found;
    weigh_after();
    return found;
}

void Solver::use_empty_signals() {
    for (const Reading& r : question_.sheet.readings) {
        const bool alone = r.quantity == Quantity::signal && !r.connected;
        if (!alone || r.load.count != 0 || r.shown != Shown::value || r.cell < 0 || r.cell >= n_) continue;
        const double volts = r.lifted_excitation_V > 0.0 ? r.lifted_excitation_V : description_.excitation_V;
        model_.set_empty_signal(r.cell, r.is_ratio ? r.value : r.value / volts);
        empty_signal_read_[static_cast<unsigned>(r.cell)] = true;
    }
}

/// Standard uncertainty of a cell's signal with the deck empty, as the mass that would give it.
double Solver::empty_sd_kg(unsigned cell) const {
    const scale::Cell& as_bought = description_.cells[cell];
    if (empty_signal_read_[cell]) {
        const double ratio = question_.sheet.instruments.millivoltmeter_V / description_.excitation_V;
        return ratio / as_bought.rated_output_V_per_V * as_bought.capacity_kg;
    }
    return empty_signal_sd_kg(description_, model_, static_cast<int>(cell));
}

void Solver::plan_steps() {
    const auto n = static_cast<unsigned>(n_);
    const CornerSlopes slopes = corner_slopes();
    const TrimUnknowns u = unknowns();
    solution_.by_position = spread_by_position(slopes, u, loads_.reference_kg);

    PerCell new_log{};
    for (unsigned i = 0; i < n; ++i) new_log[i] = model_.log_slope(static_cast<int>(i), extra_N_);
    for (unsigned i = 0; i < n; ++i) {
        model_.set_setting(static_cast<int>(i), solution_.corners[i].present_at);
    }
    PerCell turning{};
    for (unsigned i = 0; i < n; ++i)
        turning[i] = new_log[i] - model_.log_slope(static_cast<int>(i), extra_N_);
    std::array<int, scale::max_cells> order{};
    order_of_corners(std::span(turning).first(n), std::span(order).first(n));

    for (unsigned s = 0; s < n; ++s) {
        const auto c = static_cast<unsigned>(order[s]);
        TrimStep& step = solution_.steps[s];
        step.corner = order[s];
        step.from_at = solution_.corners[c].present_at;
        step.to_at = solution_.corners[c].fitted_at;
        step.target_sd_kg = std::fabs(turning[c]) * empty_sd_kg(c) * solution_.shown_per_kg;
    }
    solution_.step_count = n_;
    solution_.by_display = spread_by_display(slopes, u, std::span(order).first(n), loads_.reference_kg);
    compute_displays(model_, loads_, estimate_.kg_per_ratio, estimate_.zero_kg, question_.zero_before_each,
                     description_.division_kg, std::span(solution_.steps).first(n));
}

}  // namespace

TrimSolution solve_trim(const TrimQuestion& question, CornerModel& model) {
    return Solver(question, model).run();
}

}  // namespace cornerbench::diagnosis
