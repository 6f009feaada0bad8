#include "firmware/diagnosis/evidence.h"

#include <algorithm>
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
/// Doubt that a first look always leaves about a log evidence, and what it leaves besides where it did not
/// converge; `tests/diagnosis/first_look_test.cpp` holds what is let be for them to the second look.
constexpr double doubt_of_glance = 0.1;
constexpr double doubt_unconverged = 0.5;
/// More doubt than this has no finite exponential.
constexpr double most_doubt = 700.0;
/// All of an evidence may go: e^this, less 1, is 1.
constexpr double doubt_of_all = 0.69314718055994531;
/// By how much more at one end of the inner 90 % than at the other, before all is linearised anew. Such
/// a slope shifts a normal posterior by a seventh of its standard deviation: 0.5 over the 3.29 between them.
constexpr double level_enough = 0.5;
/// Log density by which it may be off at one place more than at another and still be mended by adding what it
/// is off by.
constexpr double beyond_mending = 20.0;
/// Standard deviations by which chance alone brings a sum of squared residuals above their number.
constexpr double by_chance = 4.0;
/// A curve that is linearised where the fault is not there may lie this many times too far down.
constexpr double too_far = 16.0;
/// Spreads at which an unlisted cause is tried, in standard uncertainties of the sound scale's readings.
constexpr double spreads[] = {3.0, 10.0, 30.0, 100.0, 300.0, 1.0e3, 1.0e4, 1.0e5};

/// Which of three places, in order, lies so near `here`, or so far from the others, that it need not be
/// looked at. None, -1, when `here` lies too far outside.
int beside(double here, const double (&at)[3]) {
    const double margin = 0.15 * (at[2] - at[0]);
    if (here < at[0] - 6.0 * margin || here > at[2] + 6.0 * margin) return -1;
    return here < at[0] + margin ? 0 : here > at[2] - margin ? 2 : 1;
}

/// What is off at place `wanted`, by the parabola through nothing at `here` and what is off at the others.
double on_parabola(double here, const double (&at)[3], const double (&off)[3], int wanted) {
    double sum = 0.0;
    for (int i = 0; i < 3; ++i) {
        if (i == wanted) continue;
        const int other = 3 - wanted - i;
        const double own = (at[i] - here) * (at[i] - at[other]);
        if (own == 0.0) return 0.5 * (off[i] + off[other]);
        sum += off[i] * (at[wanted] - here) * (at[wanted] - at[other]) / own;
    }
    return sum;
}

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

double log_open(const Evidence& glanced) {
    return glanced.log_evidence + numbers::log(numbers::exp(glanced.doubt) - 1.0);
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
    leaning_ = false;
    factored_ = false;
    const bool chosen = likelihood_.choose(touched);
    chosen_key_ = chosen ? touched.key() : -1;
    return chosen;
}

bool EvidenceIntegral::factor_at(const Fault& fault) {
    if (!predictor_.set(fault)) return false;
    const Factored at{fault, predictor_.held()};
    if (factored_ && likelihood_.has_factor() && at == factored_at_) return true;
    factored_ = likelihood_.factor();
    factored_at_ = at;
    return factored_;
}

bool EvidenceIntegral::lean() {
    if (leaning_) {
        factored_ = false;
        likelihood_.recall_factor();
        return true;
    }
    if (!factor_at(Fault{})) return false;
    likelihood_.keep_factor();
    leaning_ = true;
    return true;
}

bool EvidenceIntegral::fits_within_chance() const {
    double misfit = likelihood_.still_misfit();
    for (int i = 0; i < likelihood_.moved_rows(); ++i) misfit += white_[i] * white_[i];
    const double rows = rows_.measured;
    return misfit < rows + by_chance * std::sqrt(2.0 * rows);
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
    if (!place(fault) || !factor_at(fault)) return impossible;
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
    if (!place(fault) || !factor_at(fault)) return impossible;
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
        if (fault.cause == scale::Cause::healthy) sound_fits_ = fits_within_chance();
        return e;
    }

    const Magnitude& m = magnitudes.of[0];
    const ChordResult r = along(fault, m, sweep);
    e.log_evidence = r.log_integral;
    e.best_log_density = r.best_log_density;
    e.bound = r.bound;
    e.doubt = doubt_of_glance + (r.converged ? 0.0 : doubt_unconverged);
    e.best.magnitude[0] = magnitude_at(m, r.best_u);
    e.estimate[0] = {magnitude_at(m, r.middle_u), magnitude_at(m, r.low_u), magnitude_at(m, r.high_u)};
    return e;
}

Evidence EvidenceIntegral::glance(const Fault& fault, double best, double hopeless) {
    const scale::Magnitudes m = scale::magnitudes_of(description_, fault.cause, fault.site);
    if (m.count == 2) return glance_two(fault, m);
    Sweep sweep;
    sweep.effort.first_points = 7;
    sweep.effort.splits = 10;
    sweep.effort.quantiles = true;
    // Where the sound scale explains the sheet only slight faults are within reach, and its slopes are
    // theirs; but for a cell of another make, which answers to unknowns of its own, and for forces, with
    // which all that is known of the corners hangs together otherwise.
    sweep.lean = sound_fits_ && held_.cause == scale::Cause::healthy && !touched_by(fault).forces &&
                 fault.cause != scale::Cause::wrong_cell;
    const double worth = best - hopeless * (sweep.lean ? too_far : 1.0);
    sweep.effort.worth = worth;
    if (m.count > 0) sweep.at[0] = magnitude_at(m.of[0], 0.5);
    Evidence e = over(fault, sweep);
    if (m.count > 0 && e.bound > worth) {
        // One exact look at the best place that the borrowed linearisation found.
        const double exact = log_density(e.best);
        const double off = exact - e.best_log_density;
        e.doubt = off > 0.0 ? std::min(e.doubt + off, most_doubt) : std::min(e.doubt - off, doubt_of_all);
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
        if (sweep.lean) {
            borrowed.lean();
        } else {
            borrowed.linearise(sweep.at[0]);
        }
        ChordResult r = chords_.integrate(borrowed, likelihood_.moved_rows(), sweep.effort);
        if (!sweep.exact || r.best_log_density < sweep.effort.worth) return r;
        if (correct_borrowed(borrowed, m, sweep, r)) return r;
        sweep.borrow = false;
    }
    MagnitudeCurve exact(*this, fault, m, true);
    return chords_.integrate(exact, likelihood_.moved_rows(), sweep.effort);
}

bool EvidenceIntegral::correct_borrowed(MagnitudeCurve& curve, const Magnitude& m, const Sweep& sweep,
                                        ChordResult& r) {
    // Lower end, middle and upper end of the inner 90 % with these weights give the mean over a normal
    // posterior of anything that runs like a parabola.
    constexpr double ends = 0.1848;
    constexpr double weight[] = {ends, 1.0 - 2.0 * ends, ends};
    constexpr int most_rounds = 3;
    const double here = share_below(m, sweep.at[0]);
    curve.correct_at(here, 0.0);
    for (int round = 0; round < most_rounds; ++round) {
        const double at[] = {r.low_u, r.middle_u, r.high_u};
        // Where it was linearised nothing is off: one of the three follows from the other two, unless they
        // say that much is.
        int follows = round == 0 ? beside(here, at) : -1;
        double seen[3];
        double off[3] = {};
        for (int i = 0; i < 3; ++i) seen[i] = borrowed_log_density(curve.fault_at(at[i]));
        likelihood_.keep_factor();
        leaning_ = false;
        const auto look = [&](int i) { off[i] = log_density(curve.fault_at(at[i])) - seen[i]; };
        for (int i = 0; i < 3; ++i) {
            if (i != follows) look(i);
        }
        if (follows >= 0) off[follows] = on_parabola(here, at, off, follows);
        double least = 1.0e300;
        double most = -1.0e300;
        const auto compare = [&] {
            least = 1.0e300;
            most = -1.0e300;
            for (int i = 0; i < 3; ++i) {
                const double surprise = off[i] - curve.correction(at[i]);
                least = surprise < least ? surprise : least;
                most = surprise > most ? surprise : most;
            }
        };
        compare();
        if (follows >= 0 && !(most - least < level_enough)) {
            look(follows);
            compare();
        }
        if (most - least > beyond_mending) return false;
        if (most - least < level_enough) {
            double mean = 0.0;
            for (int i = 0; i < 3; ++i) {
                mean += weight[i] * numbers::exp(off[i] - curve.correction(at[i]) - most);
            }
            const double correction = most + numbers::log(mean);
            r.log_integral += correction;
            r.best_log_density += correction;
            r.bound += correction;
            return true;
        }
        if (round + 1 == most_rounds) break;
        for (int i = 0; i < 3; ++i) curve.correct_at(at[i], off[i]);
        likelihood_.recall_factor();
        factored_ = false;
        r = chords_.integrate(curve, likelihood_.moved_rows(), sweep.effort);
    }
    return false;
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
