#include "firmware/diagnosis/evidence.h"

#include <cmath>
#include <iterator>

#include "firmware/diagnosis/inspection.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

using scale::Fault;
using scale::Magnitude;

namespace {

constexpr double impossible = -1.0e12;
/// Probability that an indicator or a meter shows other than its state says: a misreading.
constexpr double log_misread = -13.8;
/// A piece of a friction limit's range this far below the whole, in log density, is left as it is.
constexpr double minor = 5.0;
/// Log density by which a borrowed linearisation may be off at the best fit and still serve.
constexpr double near_enough = 0.1;
/// How sharply a meter's last value is known, natural logarithm.
constexpr double last_ohm_ln = 0.3;
/// Spreads at which an unlisted cause is tried, in standard uncertainties of the sound scale's readings.
constexpr double spreads[] = {3.0, 10.0, 30.0, 100.0, 300.0, 1000.0};

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

/// The readings' curve as magnitude number `which` of a fault runs over its range.
class EvidenceIntegral::MagnitudeCurve final : public Curve {
  public:
    MagnitudeCurve(EvidenceIntegral& in, const Fault& fault, const Magnitude& magnitude)
        : in_(in), fault_(fault), magnitude_(magnitude) {}

    bool at(double u, std::span<double> white, double& apart) override {
        fault_.magnitude[0] = magnitude_at(magnitude_, u);
        if (!in_.predictor_.set(fault_)) return false;
        if (!factored_ && !(factored_ = in_.likelihood_.factor())) return false;
        in_.likelihood_.whiten(white);
        apart = in_.likelihood_.log_density_apart() + in_.log_seen(fault_);
        return true;
    }

    /// Linearises at `magnitude` for all that follows.
    void linearise(double magnitude) {
        fault_.magnitude[0] = magnitude;
        factored_ = in_.predictor_.set(fault_) && in_.likelihood_.factor();
    }

  private:
    EvidenceIntegral& in_;
    Fault fault_;
    Magnitude magnitude_;
    bool factored_ = false;
};

EvidenceIntegral::EvidenceIntegral(numbers::Arena& arena, const scale::Description& description,
                                   const Sheet& sheet, const Rows& rows, Predictor& predictor,
                                   Likelihood& likelihood)
    : description_(description),
      sheet_(sheet),
      rows_(rows),
      predictor_(predictor),
      likelihood_(likelihood),
      chords_(arena, rows.measured) {
    white_ = arena.take(rows.measured);
}

bool EvidenceIntegral::place(const Fault& fault) {
    const Touched touched = touched_by(fault);
    if (touched.key() == chosen_key_) return true;
    chosen_key_ = touched.key();
    return likelihood_.choose(touched);
}

double EvidenceIntegral::log_seen(const Fault& fault) {
    double sum = 0.0;
    for (const Reading& r : sheet_.readings) {
        if (r.quantity == Quantity::inspection) sum += log_inspection(r, fault);
    }
    for (int i = 0; i < rows_.measured; ++i) {
        const Row& row = rows_.row[i];
        if (row.kind == RowKind::weight && !predictor_.readable(row)) sum += log_misread;
    }
    for (int i = rows_.measured; i < rows_.measured + rows_.open_ended; ++i) {
        const Row& row = rows_.row[i];
        const Reading& r = sheet_.readings[row.reading];
        if (row.kind == RowKind::weight) {
            if (predictor_.shown(row) != r.shown) sum += log_misread;
        } else if (row.kind == RowKind::resistance) {
            const double over = (predictor_.mean(row) - row.value) / last_ohm_ln;
            const double p = numbers::log_normal_below(over);
            sum += p > log_misread ? p : log_misread;
        }
    }
    return sum;
}

double EvidenceIntegral::log_density(const Fault& fault) {
    if (!place(fault) || !predictor_.set(fault) || !likelihood_.factor()) return impossible;
    const int n = likelihood_.whiten(white_);
    double log_density = likelihood_.log_density_apart() + log_seen(fault);
    for (int i = 0; i < n; ++i) log_density -= 0.5 * white_[i] * white_[i];
    return log_density;
}

Evidence EvidenceIntegral::over(const Fault& fault, const Sweep& sweep) {
    Evidence e;
    e.best = fault;
    const scale::Magnitudes magnitudes = scale::magnitudes_of(description_, fault.cause, fault.site);
    if (!place(fault)) return e;
    if (magnitudes.count == 0) {
        e.log_evidence = e.best_log_density = e.bound = log_density(fault);
        return e;
    }
    if (magnitudes.count == 2) return over_two(fault, magnitudes, sweep);

    const Magnitude& m = magnitudes.of[0];
    MagnitudeCurve curve(*this, fault, m);
    curve.linearise(sweep.at[0]);
    const ChordResult r = chords_.integrate(curve, likelihood_.moved_rows(), sweep.effort);
    e.log_evidence = r.log_integral;
    e.best_log_density = r.best_log_density;
    e.bound = r.bound;
    e.settled = r.converged;
    e.best.magnitude[0] = magnitude_at(m, r.best_u);
    e.estimate[0] = {magnitude_at(m, r.middle_u), magnitude_at(m, r.low_u), magnitude_at(m, r.high_u)};
    return e;
}

Evidence EvidenceIntegral::over_two(const Fault& fault, const scale::Magnitudes& magnitudes,
                                    const Sweep& sweep) {
    // The second magnitude (a friction limit) is sampled; between samples the logarithm of the inner evidence
    // is straight. Above the force that a contact ever carries nothing depends on it.
    constexpr int max_outer = 32;
    std::array<double, max_outer> v{};
    std::array<ChordResult, max_outer> inner{};
    int count = 0;
    const auto sample = [&](double at_v) {
        Fault at = fault;
        at.magnitude[1] = magnitude_at(magnitudes.of[1], at_v);
        MagnitudeCurve curve(*this, at, magnitudes.of[0]);
        curve.linearise(sweep.at[0]);
        int i = count++;
        const ChordResult r = chords_.integrate(curve, likelihood_.moved_rows(), sweep.effort);
        for (; i > 0 && v[i - 1] > at_v; --i) {
            v[i] = v[i - 1];
            inner[i] = inner[i - 1];
        }
        v[i] = at_v;
        inner[i] = r;
    };
    const auto piece = [&](int i) {
        const double a = inner[i].log_integral;
        const double b = inner[i + 1].log_integral;
        const double rise = std::fabs(b - a);
        const double mean = rise < 1.0e-6 ? 1.0 : (1.0 - numbers::exp(-rise)) / rise;
        return (a > b ? a : b) + numbers::log(mean) + numbers::log(v[i + 1] - v[i]);
    };
    for (int i = 0; i < sweep.outer_points; ++i) sample(static_cast<double>(i) / (sweep.outer_points - 1));
    bool sampled = sweep.outer_look < 0.0;
    for (int i = 0; i < count; ++i) sampled = sampled || v[i] == sweep.outer_look;
    if (!sampled) sample(sweep.outer_look);
    bool converged = false;
    for (int s = 0; s < sweep.outer_splits && count < max_outer; ++s) {
        int chosen = -1;
        double most = -1.0e300;
        for (int i = 0; i + 1 < count; ++i) {
            const double rise = std::fabs(inner[i + 1].log_integral - inner[i].log_integral);
            const double promise = inner[i].bound > inner[i + 1].bound ? inner[i].bound : inner[i + 1].bound;
            const double worth = promise + numbers::log(v[i + 1] - v[i]);
            if (rise > 0.4 && worth > most) {
                most = worth;
                chosen = i;
            }
        }
        double sum = -1.0e300;
        for (int i = 0; i + 1 < count; ++i) sum = numbers::log_sum(sum, piece(i));
        if (chosen < 0 || most < sweep.effort.worth || most < sum - minor) {
            converged = true;
            break;
        }
        sample(0.5 * (v[chosen] + v[chosen + 1]));
    }
    Evidence e;
    e.best = fault;
    int best = 0;
    e.settled = converged;
    for (int i = 0; i < count; ++i) {
        e.settled = e.settled && inner[i].converged;
        if (inner[i].best_log_density > inner[best].best_log_density) best = i;
        if (inner[i].bound > e.bound) e.bound = inner[i].bound;
    }
    e.log_evidence = -1.0e300;
    for (int i = 0; i + 1 < count; ++i) e.log_evidence = numbers::log_sum(e.log_evidence, piece(i));
    const ChordResult& r = inner[best];
    e.best_log_density = r.best_log_density;
    e.best.magnitude = {magnitude_at(magnitudes.of[0], r.best_u), magnitude_at(magnitudes.of[1], v[best])};
    e.estimate[0] = {magnitude_at(magnitudes.of[0], r.middle_u), magnitude_at(magnitudes.of[0], r.low_u),
                     magnitude_at(magnitudes.of[0], r.high_u)};
    constexpr double shares[] = {0.5, 0.05, 0.95};
    double* const bounds[] = {&e.estimate[1].value, &e.estimate[1].low, &e.estimate[1].high};
    for (int s = 0; s < 3; ++s) {
        double below = 0.0;
        double at_v = 1.0;
        for (int i = 0; i + 1 < count; ++i) {
            const double mass = numbers::exp(piece(i) - e.log_evidence);
            if (below + mass >= shares[s]) {
                at_v = v[i] + (v[i + 1] - v[i]) * (shares[s] - below) / mass;
                break;
            }
            below += mass;
        }
        *bounds[s] = magnitude_at(magnitudes.of[1], at_v);
    }
    return e;
}

Evidence EvidenceIntegral::glance(const Fault& fault, double worth) {
    const scale::Magnitudes m = scale::magnitudes_of(description_, fault.cause, fault.site);
    Sweep sweep;
    sweep.effort.first_points = m.count == 2 ? 5 : 7;
    sweep.effort.splits = m.count == 2 ? 5 : 10;
    sweep.effort.worth = worth;
    sweep.effort.quantiles = true;
    for (int k = 0; k < m.count; ++k) sweep.at[k] = magnitude_at(m.of[k], 0.5);
    Evidence e = over(fault, sweep);
    if (m.count > 0 && e.bound > worth) {
        // One exact look at the best place that the borrowed linearisation found.
        const double exact = log_density(e.best);
        e.settled = e.settled && std::fabs(exact - e.best_log_density) < near_enough;
        if (exact > e.best_log_density) e.best_log_density = exact;
        if (e.best_log_density > e.bound) e.bound = e.best_log_density;
    }
    return e;
}

Evidence EvidenceIntegral::weigh(const Evidence& glanced, double worth) {
    Sweep sweep;
    sweep.effort.splits = 40;
    sweep.effort.worth = worth;
    sweep.effort.quantiles = true;
    sweep.at = glanced.best.magnitude;
    const scale::Magnitudes m = scale::magnitudes_of(description_, glanced.best.cause, glanced.best.site);
    if (m.count == 2) {
        sweep.outer_look = share_below(m.of[1], glanced.best.magnitude[1]);
        sweep.effort.splits = 14;
    }
    sweep.outer_splits = 14;
    return over(glanced.best, sweep);
}

double EvidenceIntegral::log_unlisted() {
    const Fault fault{scale::Cause::unlisted, {}, {}, {}};
    if (!place(fault) || !predictor_.set(fault)) return impossible;
    double sum = -1.0e300;
    for (const double times : spreads) sum = numbers::log_sum(sum, likelihood_.log_density_spread(times));
    chosen_key_ = -1;
    return sum - numbers::log(static_cast<double>(std::size(spreads))) + log_seen(fault);
}

}  // namespace cornerbench::diagnosis
