#include <algorithm>
#include <cmath>

#include "firmware/diagnosis/evidence.h"
#include "firmware/diagnosis/magnitude_curve.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

using scale::Fault;

namespace {

constexpr double impossible = -1.0e12;
constexpr double sqrt_2pi = 2.5066282746310002;
constexpr int max_outer = 40;
constexpr int most_climbing_steps = 24;
constexpr int few_steps = 6;  ///< enough to tell which start leads on
/// A piece of the second magnitude's range this far below the whole, in log density, is left as it is.
constexpr double minor = 5.0;
/// Neighbours whose logarithms differ by more are looked at more closely.
constexpr double steep = 0.4;
/// A contact that fits no better than none, by this much in log density, needs no second look.
constexpr double supported = 2.0;
/// A second magnitude known worse than this share of its prior needs no closer look around its best fit.
constexpr double wide = 0.1;
/// Doubt about the log evidence of a grid this coarse, past all evidence: a peak may stand between its
/// points.
constexpr double doubt_of_grid = 700.0;
/// Log densities that differ by less are one and the same.
constexpr double alike = 1.0e-6;
/// A step downhill that promises less, in log density, is not taken.
constexpr double hardly_better = 0.01;

}  // namespace

/// The evidence of a contact: over its stiffness in chords, over its friction limit by samples. Between
/// samples the logarithm of the inner evidence is taken as a parabola. Above the force that a contact ever
/// carries nothing depends on the limit; a limit that is reached may be known to a thousandth.
class EvidenceIntegral::Friction {
  public:
    Friction(EvidenceIntegral& in, const Fault& fault, const scale::Magnitudes& magnitudes, Sweep& sweep)
        : in_(in), fault_(fault), magnitudes_(magnitudes), sweep_(sweep) {}

    Fault at(double u, double v) const {
        Fault fault = fault_;
        fault.magnitude = {magnitude_at(magnitudes_.of[0], u), magnitude_at(magnitudes_.of[1], v)};
        return fault;
    }

    /// Goes over the whole range in a coarse grid, linearised once for each friction limit, where the one
    /// before fitted best: near enough for where to start, and for the evidence of a contact that explains
    /// nothing.
    Evidence glance() {
        Evidence e;
        e.doubt = doubt_of_grid;
        std::array<double, across> of_u{};
        std::array<double, along> of_v{};
        of_u.fill(-1.0e300);
        of_v.fill(-1.0e300);
        std::array<Peak, along> row{};
        in_.log_density(at(0.5, 0.5 / along));
        for (int j = 0; j < along; ++j) {
            const double v = (0.5 + j) / along;
            std::array<double, across> of_row{};
            int best = 0;
            for (int i = 0; i < across; ++i) {
                of_row[i] = in_.borrowed_log_density(at((0.5 + i) / across, v));
                if (of_row[i] > of_row[best]) best = i;
            }
            // Linearises where this row fits best, for the next one to borrow. A row like the one before has
            // a limit that the contact does not reach.
            const double best_u = (0.5 + best) / across;
            const bool like_before =
                j > 0 && row[j - 1].u == best_u && std::fabs(of_row[best] - row[j - 1].log_density) < alike;
            row[j] = like_before ? Peak{best_u, v, row[j - 1].log_density} : look(best_u, v);
            const double off = row[j].log_density - of_row[best];
            for (int i = 0; i < across; ++i) {
                of_u[i] = numbers::log_sum(of_u[i], of_row[i] + off);
                of_v[j] = numbers::log_sum(of_v[j], of_row[i] + off);
            }
            e.log_evidence = numbers::log_sum(e.log_evidence, of_v[j]);
        }
        e.estimate[0] = inner(magnitudes_.of[0], of_u, e.log_evidence);
        e.estimate[1] = inner(magnitudes_.of[1], of_v, e.log_evidence);
        e.log_evidence -= numbers::log(static_cast<double>(across * along));
        Peak best = best_near(row);
        if (best.log_density > untouched() + supported) best = look_closer(best);
        e.best = at(best.u, best.v);
        e.best_log_density = best.log_density;
        return e;
    }

    /// The best fit, downhill from `start` by damped least squares; linearised anew at each step, or, when
    /// the way is borrowed, at its start and its end alone.
    Peak climb(const Peak& start, int most_steps, bool borrow = false) {
        Peak best = look(start.u, start.v);
        double damping = 1.0e-3;
        bool moved = true;
        for (int step = 0; step < most_steps && damping < 1.0e6; ++step) {
            if (moved && !linearise(best)) break;
            const double det = damped(uu_, damping) * damped(vv_, damping) - uv_ * uv_;
            const double sharpness = uu_ * vv_ - uv_ * uv_ + 1.0e-30;
            best.v_sigma = std::sqrt(uu_ / sharpness);
            best.log_area = log_width(1.0 / std::sqrt(uu_ + 1.0e-30)) + log_width(best.v_sigma);
            const double du = (-damped(vv_, damping) * u_ + uv_ * v_slope_) / det;
            const double dv = (uv_ * u_ - damped(uu_, damping) * v_slope_) / det;
            if (-0.5 * (du * u_ + dv * v_slope_) < hardly_better) break;
            Peak next{within(best.u + du), within(best.v + dv)};
            next.log_density =
                borrow ? in_.borrowed_log_density(at(next.u, next.v)) : in_.log_density(at(next.u, next.v));
            moved = next.log_density > best.log_density;
            if (moved) {
                next.v_sigma = best.v_sigma;
                next.log_area = best.log_area;
                const bool arrived = next.log_density < best.log_density + 1.0e-3;
                best = next;
                damping *= 0.1;
                if (arrived) break;
            } else {
                damping *= 10.0;
            }
        }
        if (borrow) best.log_density = in_.log_density(at(best.u, best.v));
        return best;
    }

    double untouched() { return look(0.0, 0.0).log_density; }

    void sample_evenly() {
        for (int i = 0; i < sweep_.outer_points; ++i) {
            sample(static_cast<double>(i) / (sweep_.outer_points - 1));
        }
    }

    void sample_around(const Peak& peak) {
        sample(peak.v);
        if (peak.v_sigma > wide) return;
        for (const double k : {0.5, 1.0, 1.5, 2.0, 2.6, 3.4, 5.0}) {
            sample(peak.v - k * peak.v_sigma);
            sample(peak.v + k * peak.v_sigma);
        }
    }

    void split_all() {
        for (int s = 0; s < sweep_.outer_splits && !full() && split(); ++s) continue;
    }

    Evidence result() const {
        Evidence e;
        int best = 0;
        for (int i = 0; i < count_; ++i) {
            if (inner_[i].best_log_density > inner_[best].best_log_density) best = i;
            if (inner_[i].bound > e.bound) e.bound = inner_[i].bound;
        }
        for (int i = 0; i + 1 < count_; ++i) e.log_evidence = numbers::log_sum(e.log_evidence, piece(i));
        const ChordResult& r = inner_[best];
        e.best_log_density = r.best_log_density;
        e.best = at(r.best_u, v_[best]);
        e.estimate[0] = {magnitude_at(magnitudes_.of[0], r.middle_u),
                         magnitude_at(magnitudes_.of[0], r.low_u), magnitude_at(magnitudes_.of[0], r.high_u)};
        const auto below = [&](double share) { return magnitude_at(magnitudes_.of[1], quantile(share, e)); };
        e.estimate[1] = {below(0.5), below(0.05), below(0.95)};
        return e;
    }

  private:
    static constexpr int across = 6;
    static constexpr int along = 16;

    /// Where a few steps lead from a grid's rows. Above the force that a contact ever carries all rows are
    /// alike; a contact that slides fits best somewhere below, which a row nearby shows only as a slope.
    Peak best_near(const std::array<Peak, along>& row) {
        int edge = along - 1;
        while (edge > 0 && std::fabs(row[edge - 1].log_density - row[along - 1].log_density) < alike) --edge;
        int best_sliding = -1;
        for (int j = 0; j < edge; ++j) {
            if (best_sliding < 0 || row[j].log_density > row[best_sliding].log_density) best_sliding = j;
        }
        Peak best = climb(row[along - 1], few_steps, true);
        for (const int j : {best_sliding, best_sliding != edge - 1 ? edge - 1 : -1}) {
            if (j < 0) continue;
            const Peak there = climb(row[j], few_steps, true);
            if (there.log_density > best.log_density) best = there;
        }
        return best;
    }

    /// Where a finer grid about `best` leads. The misfit jumps wherever a reading's contact begins to slide,
    /// so one friction limit has several stiffnesses that fit best, and few points show the wrong one.
    Peak look_closer(const Peak& best) {
        constexpr int middle = 4;
        constexpr int rows = 2 * middle + 1;
        constexpr int points = 18;
        std::array<Peak, rows> row{};
        look(best.u, best.v);
        for (int j = 0; j < rows; ++j) {
            const double v = best.v + (j - middle) * (0.5 / along);
            if (v <= 0.0 || v >= 1.0) continue;
            int top = 0;
            double most = -1.0e300;
            for (int i = 0; i < points; ++i) {
                const double there = in_.borrowed_log_density(at((0.5 + i) / points, v));
                if (there > most) {
                    most = there;
                    top = i;
                }
            }
            row[j] = look((0.5 + top) / points, v);
        }
        Peak closer = best;
        for (int climbs = 0; climbs < 2; ++climbs) {
            const auto start = std::max_element(row.begin(), row.end(), lower);
            const Peak there = climb(*start, few_steps, true);
            if (there.log_density > closer.log_density) closer = there;
            start->log_density = -1.0e300;
        }
        return closer;
    }

    static bool lower(const Peak& a, const Peak& b) { return a.log_density < b.log_density; }

    /// Middle and ends of the inner 90 % of a grid's row.
    static Estimate inner(const scale::Magnitude& m, std::span<const double> log_mass, double log_total) {
        const auto below = [&](double share) {
            double sum = 0.0;
            for (std::size_t i = 0; i < log_mass.size(); ++i) {
                const double mass = numbers::exp(log_mass[i] - log_total);
                if (sum + mass >= share) {
                    return magnitude_at(m, (static_cast<double>(i) + (share - sum) / mass) /
                                               static_cast<double>(log_mass.size()));
                }
                sum += mass;
            }
            return m.high;
        };
        return {below(0.5), below(0.05), below(0.95)};
    }

    /// Logarithm of a normal peak's width, which cannot be more than the whole range.
    static double log_width(double sigma) {
        return sqrt_2pi * sigma < 1.0 ? numbers::log(sqrt_2pi * sigma) : 0.0;
    }

    bool full() const { return count_ == max_outer; }

    /// Inner evidence at one friction limit.
    void sample(double at_v) {
        if (full() || at_v < 0.0 || at_v > 1.0) return;
        for (int i = 0; i < count_; ++i) {
            if (v_[i] == at_v) return;
        }
        const ChordResult r = in_.along(at(0.5, at_v), magnitudes_.of[0], sweep_);
        int i = count_++;
        for (; i > 0 && v_[i - 1] > at_v; --i) {
            v_[i] = v_[i - 1];
            inner_[i] = inner_[i - 1];
        }
        v_[i] = at_v;
        inner_[i] = r;
    }

    /// Halves the steepest promising piece. False when none is left.
    bool split() {
        int chosen = -1;
        double most = -1.0e300;
        double sum = -1.0e300;
        for (int i = 0; i + 1 < count_; ++i) {
            sum = numbers::log_sum(sum, piece(i));
            const double rise = std::fabs(inner_[i + 1].log_integral - inner_[i].log_integral);
            const double promise =
                inner_[i].bound > inner_[i + 1].bound ? inner_[i].bound : inner_[i + 1].bound;
            const double worth = promise + numbers::log(v_[i + 1] - v_[i]);
            if (rise > steep && worth > most) {
                most = worth;
                chosen = i;
            }
        }
        if (chosen < 0 || most < sweep_.effort.worth || most < sum - minor) return false;
        sample(0.5 * (v_[chosen] + v_[chosen + 1]));
        return true;
    }

    static double within(double share) { return share < 0.0 ? 0.0 : share > 1.0 ? 1.0 : share; }
    static double damped(double square, double damping) { return square * (1.0 + damping) + 1.0e-9; }

    Peak look(double u, double v) { return {u, v, in_.log_density(at(u, v))}; }

    /// Products of the whitened residuals' slopes along both magnitudes, with each other and the residuals.
    /// `p` is where it looked last.
    bool linearise(const Peak& p) {
        constexpr double step = 1.0e-4;
        if (p.log_density <= 0.5 * impossible) return false;
        const int n = in_.likelihood_.moved_rows();
        const double step_u = p.u > 0.5 ? -step : step;
        const double step_v = p.v > 0.5 ? -step : step;
        const std::span<double> along_u = in_.moved_white_.first(n);
        const std::span<double> along_v = in_.moved_white_.subspan(n, n);
        if (!in_.predictor_.set(at(p.u + step_u, p.v))) return false;
        in_.likelihood_.whiten(along_u);
        if (!in_.predictor_.set(at(p.u, p.v + step_v))) return false;
        in_.likelihood_.whiten(along_v);
        uu_ = uv_ = vv_ = u_ = v_slope_ = 0.0;
        for (int i = 0; i < n; ++i) {
            const double white = in_.white_[i];
            const double du = (along_u[i] - white) / step_u;
            const double dv = (along_v[i] - white) / step_v;
            uu_ += du * du;
            uv_ += du * dv;
            vv_ += dv * dv;
            u_ += du * white;
            v_slope_ += dv * white;
        }
        return true;
    }

    /// Logarithm of the area between two samples: a chord, bent as the neighbours say.
    double piece(int i) const {
        const double a = inner_[i].log_integral;
        const double b = inner_[i + 1].log_integral;
        const double rise = std::fabs(b - a);
        const double mean = rise < 1.0e-6 ? 1.0 : (1.0 - numbers::exp(-rise)) / rise;
        const double width = v_[i + 1] - v_[i];
        double bend = 0.0;
        for (int at = i > 0 ? i : 1; at <= i + 1 && at + 1 < count_; ++at) {
            const double before =
                (inner_[at].log_integral - inner_[at - 1].log_integral) / (v_[at] - v_[at - 1]);
            const double after =
                (inner_[at + 1].log_integral - inner_[at].log_integral) / (v_[at + 1] - v_[at]);
            const double second = (before - after) / (v_[at + 1] - v_[at - 1]) * 2.0 * width * width / 12.0;
            // The lesser of both sides: a corner bends only one of them.
            if (at == (i > 0 ? i : 1) || std::fabs(second) < std::fabs(bend)) bend = second;
        }
        if (bend > most_bend) bend = most_bend;
        if (bend < -most_bend) bend = -most_bend;
        return (a > b ? a : b) + numbers::log(mean) + bend + numbers::log(width);
    }

    double quantile(double share, const Evidence& e) const {
        double below = 0.0;
        for (int i = 0; i + 1 < count_; ++i) {
            const double mass = numbers::exp(piece(i) - e.log_evidence);
            if (below + mass >= share) return v_[i] + (v_[i + 1] - v_[i]) * (share - below) / mass;
            below += mass;
        }
        return 1.0;
    }

    static constexpr double most_bend = 0.1;

    EvidenceIntegral& in_;
    const Fault& fault_;
    const scale::Magnitudes& magnitudes_;
    Sweep& sweep_;
    std::array<double, max_outer> v_{};
    std::array<ChordResult, max_outer> inner_{};
    int count_ = 0;
    double uu_ = 0.0, uv_ = 0.0, vv_ = 0.0, u_ = 0.0, v_slope_ = 0.0;
};

Evidence EvidenceIntegral::glance_two(const Fault& fault, const scale::Magnitudes& magnitudes) {
    Evidence none;
    none.best = fault;
    Sweep sweep;
    Friction friction(*this, fault, magnitudes, sweep);
    if (!place(fault)) return none;
    Evidence e = friction.glance();
    if (e.best_log_density <= 0.5 * impossible) return none;
    // A friction limit may be known to a thousandth: nothing that a grid sees bounds what lies between.
    e.bound = 1.0e300;
    return e;
}

Evidence EvidenceIntegral::weigh_two(const Evidence& glanced, const scale::Magnitudes& magnitudes,
                                     Sweep& sweep) {
    Friction friction(*this, glanced.best, magnitudes, sweep);
    const Peak peak = friction.climb({share_below(magnitudes.of[0], glanced.best.magnitude[0]),
                                      share_below(magnitudes.of[1], glanced.best.magnitude[1]), 0.0, wide},
                                     most_climbing_steps);
    Evidence e = glanced;
    e.best = friction.at(peak.u, peak.v);
    e.best_log_density = peak.log_density;
    if (peak.log_density < sweep.effort.worth) {
        // Out of reach at its best: an evidence is never above the best density.
        e.log_evidence = e.bound = peak.log_density;
        return e;
    }
    if (peak.log_density < friction.untouched() + supported) return e;
    // A narrow peak may hold more than the grid saw.
    if (peak.log_density + peak.log_area > e.log_evidence) {
        e.log_evidence = peak.log_density + peak.log_area;
    }
    if (e.log_evidence < sweep.minor) return e;
    friction.sample_evenly();
    friction.sample_around(peak);
    friction.split_all();
    return friction.result();
}

}  // namespace cornerbench::diagnosis
