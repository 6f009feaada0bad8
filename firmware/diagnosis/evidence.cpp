#include "firmware/diagnosis/evidence.h"

#include <cmath>
#include <iterator>

#include "firmware/diagnosis/inspection.h"
#include "firmware/diagnosis/magnitude_curve.h"
#include "firmware/diagnosis/no_value.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

using scale::Fault;
using scale::Magnitude;

namespace {

constexpr double impossible = -1.0e12;
/// Log density by which a borrowed linearisation may be off at the best fit and still serve.
constexpr double near_enough = 0.1;
/// By how much more at one end of the inner 90 % than at the other, before all is linearised anew. Such
/// a slope shifts a normal posterior by a seventh of its standard deviation: 0.5 over the 3.29 between them.
constexpr double level_enough = 0.5;
/// Spreads at which an unlisted cause is tried, in standard uncertainties of the sound scale's readings.
constexpr double spreads[] = {3.0, 10.0, 30.0, 100.0, 300.0, 1.0e3, 1.0e4, 1.0e5};

}  // namespace

double magnitude_at(const Magnitude& m, double u) {
    if (m.spread == scale::Spread::log_uniform) return m.low * numbers::exp(u * numbers::log(m.high / m.low));
    return m.low + u * (m.high - m.low);
}

double share_below(const Magnitude& m, double value) {
    const double u = m.spread == scale::Spread::log_uniform
                         ? numbers::log(value / m.low) / numbers::log(m.high / m.low)
                         : (value - m.low) / (m.high - m.low);
    return u < 0.0 ? 0.0 : u > 1.0 ? 1.0 : u;
}

EvidenceIntegral::EvidenceIntegral(numbers::Arena& arena, const scale::Description& description,
                                   const Sheet& sheet, const Rows& rows, Predictor& predictor,
                                   Likelihood& likelihood, const Scatter& scatter)
    : description_(description),
      sheet_(sheet),
      rows_(rows),
      predictor_(predictor),
      likelihood_(likelihood),
      scatter_(scatter),
      chords_(arena, rows.measured) {
    white_ = arena.take(rows.measured);
    moved_white_ = arena.take(2 * rows.measured);
}

void EvidenceIntegral::hold(const Fault& also) {
    held_ = also;
    predictor_.hold(also);
    chosen_key_ = -1;
}

bool EvidenceIntegral::place(const Fault& fault) {
    const Touched touched = touched_by(fault, held_);
    if (touched.key() == chosen_key_) return true;
    const bool chosen = likelihood_.choose(touched);
    chosen_key_ = chosen ? touched.key() : -1;
    return chosen;
}

double EvidenceIntegral::log_seen_or_readable(const Fault& fault) {
    double sum = 0.0;
    without_reference_ = 0;
    for (const Reading& r : sheet_.readings) {
        if (r.quantity == Quantity::inspection) sum += log_inspection(r, fault, held_);
    }
    for (int i = 0; i < rows_.measured; ++i) {
        const Row& row = rows_.row[i];
        const bool converted = row.kind == RowKind::weight || row.kind == RowKind::channel;
        if (!converted || predictor_.readable(row)) continue;
        sum += log_misread;
        if (predictor_.shown(row) == Shown::blank) ++without_reference_;
    }
    return sum;
}

double EvidenceIntegral::log_seen(const Fault& fault) {
    double sum = log_seen_or_readable(fault);
    for (int i = rows_.measured; i < rows_.measured + rows_.open_ended; ++i) {
        sum += log_shown(predictor_, rows_.row[i], sheet_, scatter_);
    }
    return sum;
}

double EvidenceIntegral::log_density(const Fault& fault) {
    if (!place(fault) || !predictor_.set(fault) || !likelihood_.factor()) return impossible;
    return borrowed_log_density(fault);
}

double EvidenceIntegral::borrowed_log_density(const Fault& fault) {
    if (!predictor_.set(fault)) return impossible;
    const int n = likelihood_.whiten(white_);
    double log_density = likelihood_.log_density_apart() + log_seen(fault);
    for (int i = 0; i < n; ++i) log_density -= 0.5 * white_[i] * white_[i];
    return log_density;
}

double EvidenceIntegral::log_fit(const Fault& fault) {
    if (!place(fault) || !predictor_.set(fault) || !likelihood_.factor()) return impossible;
    const int n = likelihood_.whiten(white_);
    double log_fit = log_seen(fault) - 0.5 * likelihood_.still_misfit();
    for (int i = 0; i < n; ++i) log_fit -= 0.5 * white_[i] * white_[i];
    return log_fit;
}

Evidence EvidenceIntegral::over(const Fault& fault, Sweep& sweep) {
    Evidence e;
    e.best = fault;
    const scale::Magnitudes magnitudes = scale::magnitudes_of(description_, fault.cause, fault.site);
    if (!place(fault)) return e;
    if (magnitudes.count == 0) {
        e.log_evidence = e.best_log_density = e.bound = log_density(fault);
        e.settled = true;
        return e;
    }

    const Magnitude& m = magnitudes.of[0];
    const ChordResult r = along(fault, m, sweep);
    e.log_evidence = r.log_integral;
    e.best_log_density = r.best_log_density;
    e.bound = r.bound;
    e.settled = r.converged;
    e.best.magnitude[0] = magnitude_at(m, r.best_u);
    e.estimate[0] = {magnitude_at(m, r.middle_u), magnitude_at(m, r.low_u), magnitude_at(m, r.high_u)};
    return e;
}

Evidence EvidenceIntegral::glance(const Fault& fault, double worth) {
    const scale::Magnitudes m = scale::magnitudes_of(description_, fault.cause, fault.site);
    if (m.count == 2) return glance_two(fault, m);
    Sweep sweep;
    sweep.effort.first_points = 7;
    sweep.effort.splits = 10;
    sweep.effort.worth = worth;
    sweep.effort.quantiles = true;
    for (int k = 0; k < m.count; ++k) sweep.at[k] = magnitude_at(m.of[k], 0.5);
    Evidence e = over(fault, sweep);
    if (m.count > 0 && e.bound > worth) {
        // One exact look at the best place that the borrowed linearisation found.
        const double exact = log_density(e.best);
        e.settled = e.settled && std::fabs(exact - e.best_log_density) < near_enough;
        e.best_log_density = exact;
        if (exact > e.bound) e.bound = exact;
    }
    return e;
}

Evidence EvidenceIntegral::weigh(const Evidence& glanced, double worth, double minor) {
    Sweep sweep;
    sweep.minor = minor;
    sweep.effort.splits = 60;
    sweep.effort.worth = worth;
    sweep.effort.quantiles = true;
    sweep.at = glanced.best.magnitude;
    sweep.exact = true;
    const scale::Magnitudes m = scale::magnitudes_of(description_, glanced.best.cause, glanced.best.site);
    if (m.count == 2) {
        sweep.effort.splits = 14;
        sweep.outer_splits = 14;
        return place(glanced.best) ? weigh_two(glanced, m, sweep) : glanced;
    }
    sweep.effort.straight = 0.01;
    return over(glanced.best, sweep);
}

ChordResult EvidenceIntegral::along(const Fault& fault, const Magnitude& m, Sweep& sweep) {
    if (!sweep.exact || sweep.borrow) {
        MagnitudeCurve borrowed(*this, fault, m, false);
        borrowed.linearise(sweep.at[0]);
        ChordResult r = chords_.integrate(borrowed, likelihood_.moved_rows(), sweep.effort);
        if (!sweep.exact || r.best_log_density < sweep.effort.worth) return r;
        if (correct_borrowed(fault, m, r)) return r;
        sweep.borrow = false;
    }
    MagnitudeCurve exact(*this, fault, m, true);
    return chords_.integrate(exact, likelihood_.moved_rows(), sweep.effort);
}

bool EvidenceIntegral::correct_borrowed(Fault fault, const Magnitude& m, ChordResult& r) {
    // Lower end, middle and upper end of the inner 90 % with these weights give the mean over a normal
    // posterior of anything that runs like a parabola.
    constexpr double ends = 0.1848;
    const double at[] = {r.low_u, r.middle_u, r.high_u};
    const double weight[] = {ends, 1.0 - 2.0 * ends, ends};
    double off[3];
    for (int i = 0; i < 3; ++i) {
        fault.magnitude[0] = magnitude_at(m, at[i]);
        off[i] = -borrowed_log_density(fault);
    }
    double mean = 0.0;
    double least = 1.0e300;
    double most = -1.0e300;
    for (int i = 0; i < 3; ++i) {
        fault.magnitude[0] = magnitude_at(m, at[i]);
        off[i] += log_density(fault);
        least = off[i] < least ? off[i] : least;
        most = off[i] > most ? off[i] : most;
    }
    if (!(most - least < level_enough)) return false;
    for (int i = 0; i < 3; ++i) mean += weight[i] * numbers::exp(off[i] - most);
    const double correction = most + numbers::log(mean);
    r.log_integral += correction;
    r.best_log_density += correction;
    r.bound += correction;
    return true;
}

double EvidenceIntegral::log_unlisted() {
    const Fault fault{scale::Cause::unlisted, {}, {}, {}};
    if (!place(fault) || !predictor_.set(fault)) return impossible;
    double sum = -1.0e300;
    for (const double times : spreads) sum = numbers::log_sum(sum, likelihood_.log_density_spread(times));
    chosen_key_ = -1;
    return sum - numbers::log(static_cast<double>(std::size(spreads))) + log_seen_or_readable(fault) +
           log_shown_unlisted(predictor_, rows_, sheet_, scatter_);
}

}  // namespace cornerbench::diagnosis
