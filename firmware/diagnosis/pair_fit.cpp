#include "firmware/diagnosis/pair_fit.h"

#include "firmware/numbers/dense.h"
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
    : description_(description),
      evidence_(evidence),
      predictor_(predictor),
      likelihood_(likelihood),
      white_(arena.take(likelihood.rows())) {
    for (std::span<double>& along : along_) along = arena.take(likelihood.rows());
}

void PairFit::start(const Fault& a, const Fault& b) {
    fault_ = {a, b};
    count_ = 0;
    for (int f = 0; f < 2; ++f) {
        magnitudes_[f] = scale::magnitudes_of(description_, fault_[f].cause, fault_[f].site);
        for (int k = 0; k < magnitudes_[f].count; ++k) unknown_[count_++] = {f, k};
    }
    evidence_.hold(b);
}

Fault PairFit::at(int which, const Place& p) const {
    Fault fault = fault_[which];
    for (int i = 0; i < count_; ++i) {
        if (unknown_[i].fault != which) continue;
        const int k = unknown_[i].magnitude;
        fault.magnitude[k] = magnitude_at(magnitudes_[which].of[k], p[i]);
    }
    return fault;
}

double PairFit::log_density(const Place& p) {
    predictor_.hold(at(1, p));
    return evidence_.log_density(at(0, p));
}

bool PairFit::linearise(const Place& p) {
    const int n = likelihood_.whiten(white_);
    for (int i = 0; i < count_; ++i) {
        Place near = p;
        const double moved = p[i] > 0.5 ? -step : step;
        near[i] += moved;
        predictor_.hold(at(1, near));
        if (!predictor_.set(at(0, near))) return false;
        likelihood_.whiten(along_[i]);
        for (int r = 0; r < n; ++r) along_[i][r] = (along_[i][r] - white_[r]) / moved;
    }
    for (int i = 0; i < count_; ++i) {
        down_[i] = 0.0;
        for (int r = 0; r < n; ++r) down_[i] += along_[i][r] * white_[r];
        for (int j = 0; j <= i; ++j) {
            double product = 0.0;
            for (int r = 0; r < n; ++r) product += along_[i][r] * along_[j][r];
            square_[i * most + j] = square_[j * most + i] = product;
        }
    }
    return true;
}

double PairFit::climb(Fault& a, Fault& b) {
    start(a, b);
    Place best{};
    for (int i = 0; i < count_; ++i) {
        const Unknown& u = unknown_[i];
        best[i] = share_below(magnitudes_[u.fault].of[u.magnitude], fault_[u.fault].magnitude[u.magnitude]);
    }
    double most_dense = log_density(best);
    double damping = 1.0e-3;
    bool moved = true;
    for (int s = 0; s < most_steps && damping < 1.0e4 && count_ > 0 && most_dense > impossible; ++s) {
        if (moved && !linearise(best)) break;
        std::array<double, most * most> factor{};
        std::array<double, most> by{};
        for (int i = 0; i < most; ++i) {
            const bool there_is = i < count_;
            for (int j = 0; there_is && j < i; ++j) factor[i * most + j] = square_[i * most + j];
            factor[i * most + i] = there_is ? square_[i * most + i] * (1.0 + damping) + 1.0e-9 : 1.0;
            by[i] = there_is ? -down_[i] : 0.0;
        }
        if (!numbers::cholesky(factor, most)) break;
        numbers::solve_factored(factor, most, by);
        double promise = 0.0;
        Place next = best;
        for (int i = 0; i < count_; ++i) {
            promise -= 0.5 * by[i] * down_[i];
            next[i] = within(best[i] + by[i]);
        }
        if (promise < hardly_better) break;
        const double there = log_density(next);
        moved = there > most_dense;
        if (moved) {
            const bool arrived = there < most_dense + hardly_better;
            best = next;
            most_dense = there;
            damping *= 0.1;
            if (arrived) break;
        } else {
            damping *= 10.0;
        }
    }
    a = at(0, best);
    b = at(1, best);
    evidence_.hold(b);
    return most_dense;
}

double PairFit::log_sharpness(int first, int last) const {
    std::array<double, most * most> factor{};
    for (int i = 0; i < most; ++i) {
        const bool asked = i >= first && i < last;
        for (int j = first; asked && j < i; ++j) factor[i * most + j] = square_[i * most + j];
        factor[i * most + i] = asked ? square_[i * most + i] + prior_precision : 1.0;
    }
    if (!numbers::cholesky(factor, most)) return 0.0;
    double sum = 0.0;
    for (int i = first; i < last; ++i) sum += numbers::log(factor[i * most + i]);
    return sum;
}

double PairFit::coupling(const Fault& a, const Fault& b) {
    start(a, b);
    const int of_a = magnitudes_[0].count;
    if (of_a == 0 || of_a == count_) return 0.0;
    Place p{};
    for (int i = 0; i < count_; ++i) {
        const Unknown& u = unknown_[i];
        p[i] = share_below(magnitudes_[u.fault].of[u.magnitude], fault_[u.fault].magnitude[u.magnitude]);
    }
    if (!(log_density(p) > impossible) || !linearise(p)) return 0.0;
    return log_sharpness(0, of_a) + log_sharpness(of_a, count_) - log_sharpness(0, count_);
}

}  // namespace cornerbench::diagnosis
