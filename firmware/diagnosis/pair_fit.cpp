#include "firmware/diagnosis/pair_fit.h"

#include <cmath>

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

using scale::Fault;

namespace {

constexpr int most_steps = 8;
constexpr double step = 1.0e-4;
/// A step that promises less log density than this is not worth taking.
constexpr double hardly_better = 0.01;
/// Precision of a share that is spread evenly from 0 to 1: one over its variance.
constexpr double prior_precision = 12.0;
constexpr double impossible = -1.0e11;

double within(double share) {
    return share < 0.0 ? 0.0 : share > 1.0 ? 1.0 : share;
}

}  // namespace

PairFit::PairFit(numbers::Arena& arena, const scale::Description& description, EvidenceIntegral& evidence,
                 Predictor& predictor, Likelihood& likelihood)
    : description_(description), evidence_(evidence), predictor_(predictor), likelihood_(likelihood) {
    white_ = arena.take(likelihood.rows());
    for (std::span<double>& along : along_) along = arena.take(likelihood.rows());
}

void PairFit::start(const Fault& a, const Fault& b) {
    fault_[0] = a;
    fault_[1] = b;
    for (int k = 0; k < 2; ++k) {
        magnitudes_[k] = scale::magnitudes_of(description_, fault_[k].cause, fault_[k].site);
    }
    evidence_.hold(b);
}

Fault PairFit::at(int which, double u) const {
    Fault fault = fault_[which];
    if (magnitudes_[which].count > 0) fault.magnitude[0] = magnitude_at(magnitudes_[which].of[0], u);
    return fault;
}

double PairFit::log_density(const Place& p) {
    predictor_.hold(at(1, p.u[1]));
    return evidence_.log_density(at(0, p.u[0]));
}

bool PairFit::linearise(const Place& p, Slopes& s) {
    s = {};
    const int n = likelihood_.whiten(white_);
    for (int k = 0; k < 2; ++k) {
        if (magnitudes_[k].count == 0) continue;
        Place near = p;
        const double moved = p.u[k] > 0.5 ? -step : step;
        near.u[k] += moved;
        predictor_.hold(at(1, near.u[1]));
        if (!predictor_.set(at(0, near.u[0]))) return false;
        likelihood_.whiten(along_[k]);
        for (int i = 0; i < n; ++i) {
            along_[k][i] = (along_[k][i] - white_[i]) / moved;
            s.square[k] += along_[k][i] * along_[k][i];
            s.down[k] += along_[k][i] * white_[i];
        }
    }
    if (magnitudes_[0].count > 0 && magnitudes_[1].count > 0) {
        for (int i = 0; i < n; ++i) s.product += along_[0][i] * along_[1][i];
    }
    return true;
}

double PairFit::climb(Fault& a, Fault& b) {
    start(a, b);
    Place best;
    for (int k = 0; k < 2; ++k) {
        if (magnitudes_[k].count > 0) {
            best.u[k] = share_below(magnitudes_[k].of[0], fault_[k].magnitude[0]);
        }
    }
    double most = log_density(best);
    Slopes s;
    double damping = 1.0e-3;
    bool moved = true;
    for (int i = 0; i < most_steps && damping < 1.0e4 && most > impossible; ++i) {
        if (moved && !linearise(best, s)) break;
        const double aa = s.square[0] * (1.0 + damping) + 1.0e-9;
        const double bb = s.square[1] * (1.0 + damping) + 1.0e-9;
        const double det = aa * bb - s.product * s.product;
        const double du = (-bb * s.down[0] + s.product * s.down[1]) / det;
        const double dv = (-aa * s.down[1] + s.product * s.down[0]) / det;
        if (-0.5 * (du * s.down[0] + dv * s.down[1]) < hardly_better) break;
        Place next;
        next.u[0] = within(best.u[0] + du);
        next.u[1] = within(best.u[1] + dv);
        const double there = log_density(next);
        moved = there > most;
        if (moved) {
            const bool arrived = there < most + hardly_better;
            best = next;
            most = there;
            damping *= 0.1;
            if (arrived) break;
        } else {
            damping *= 10.0;
            // The slopes belong to the factor at the best place so far.
        }
    }
    a = at(0, best.u[0]);
    b = at(1, best.u[1]);
    evidence_.hold(b);
    return most;
}

double PairFit::coupling(const Fault& a, const Fault& b) {
    start(a, b);
    if (magnitudes_[0].count == 0 || magnitudes_[1].count == 0) return 0.0;
    Place p;
    for (int k = 0; k < 2; ++k) p.u[k] = share_below(magnitudes_[k].of[0], fault_[k].magnitude[0]);
    Slopes s;
    if (!(log_density(p) > impossible) || !linearise(p, s)) return 0.0;
    const double aa = s.square[0] + prior_precision;
    const double bb = s.square[1] + prior_precision;
    return -0.5 * numbers::log(1.0 - s.product * s.product / (aa * bb));
}

}  // namespace cornerbench::diagnosis
