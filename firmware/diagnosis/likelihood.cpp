#include "firmware/diagnosis/likelihood.h"

#include <algorithm>
#include <cmath>

#include "firmware/numbers/dense.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

constexpr double log_sqrt_2pi = 0.91893853320467274178;

double log_determinant(std::span<const double> factor, int n) {
    double sum = 0.0;
    for (int i = 0; i < n; ++i) sum += numbers::log(factor[i * n + i]);
    return 2.0 * sum;
}

/// Adds weighted rows to a row, several in one pass over it: the pass costs more than the products.
class RowSum {
  public:
    RowSum(double* out, int length) : out_(out), length_(length) {}

    void add(double weight, const double* row) {
        if (weight == 0.0) return;
        weight_[count_] = weight;
        row_[count_++] = row;
        if (count_ == together) flush();
    }

    /// To be called after the last row.
    void flush() {
        if (count_ == 0) return;
        for (; count_ < together; ++count_) {
            weight_[count_] = 0.0;
            row_[count_] = row_[0];
        }
        count_ = 0;
        const double *a = row_[0], *b = row_[1], *c = row_[2], *d = row_[3];
        for (int j = 0; j < length_; ++j) {
            out_[j] += (weight_[0] * a[j] + weight_[1] * b[j]) + (weight_[2] * c[j] + weight_[3] * d[j]);
        }
    }

  private:
    static constexpr int together = 4;
    double* out_;
    int length_;
    int count_ = 0;
    double weight_[together];
    const double* row_[together];
};

}  // namespace

Likelihood::Likelihood(numbers::Arena& arena, Predictor& predictor, const Rows& rows)
    : predictor_(predictor),
      rows_(rows),
      columns_(predictor.columns().count()),
      sound_residual_(arena.take(rows.measured)) {
    const int n = rows.measured;
    sound_slopes_ = arena.take(n * columns_);
    still_ = arena.take<short>(n);
    moved_ = arena.take<short>(n);
    filled_ = arena.take<short>(n * columns_);
    filled_count_ = arena.take<short>(n);
    still_factor_ = arena.take(n * n);
    still_white_ = arena.take(n);
    slopes_by_column_ = arena.take(n * columns_);
    slope_row_ = arena.take(columns_);
    coupling_ = arena.take(n * n);
    moved_factor_ = arena.take(n * n);
    scratch_ = arena.take(n * n);
    kept_coupling_ = arena.take(n * n);
    kept_factor_ = arena.take(n * n);
}

bool Likelihood::prepare() {
    if (!predictor_.set(scale::Fault{})) return false;
    for (int i = 0; i < rows_.measured; ++i) {
        const Row& row = rows_.row[i];
        sound_residual_[i] = row.value - predictor_.mean(row);
        const std::span<double> slopes = sound_slopes_.subspan(i * columns_, columns_);
        predictor_.slopes(row, slopes);
        for (int k = 0; k < columns_; ++k) {
            if (slopes[k] != 0.0) filled_[i * columns_ + filled_count_[i]++] = static_cast<short>(k);
        }
    }
    return choose(Touched{});
}

double Likelihood::slope_product(int row_a, int row_b) const {
    const int fewer = filled_count_[row_a] < filled_count_[row_b] ? row_a : row_b;
    double sum = 0.0;
    for (int f = 0; f < filled_count_[fewer]; ++f) {
        const int k = filled_[fewer * columns_ + f];
        sum += sound_slopes_[row_a * columns_ + k] * sound_slopes_[row_b * columns_ + k];
    }
    return sum;
}

bool Likelihood::choose(const Touched& touched) {
    has_factor_ = false;
    still_count_ = 0;
    moved_count_ = 0;
    for (int i = 0; i < rows_.measured; ++i) {
        if (predictor_.moves(rows_.row[i], touched)) {
            moved_[moved_count_++] = static_cast<short>(i);
        } else {
            still_[still_count_++] = static_cast<short>(i);
        }
    }
    const int n = still_count_;
    for (int a = 0; a < n; ++a) {
        for (int b = 0; b <= a; ++b) still_factor_[a * n + b] = slope_product(still_[a], still_[b]);
        still_factor_[a * n + a] += rows_.row[still_[a]].variance;
        still_white_[a] = sound_residual_[still_[a]];
    }
    if (!numbers::cholesky(still_factor_, n)) return false;
    numbers::forward_substitute(still_factor_, n, still_white_);
    still_log_ = -0.5 * log_determinant(still_factor_, n) - n * log_sqrt_2pi;
    for (int a = 0; a < n; ++a) still_log_ -= 0.5 * still_white_[a] * still_white_[a];
    return true;
}

void Likelihood::moved_slopes() {
    for (int m = 0; m < moved_count_; ++m) {
        for (double& x : slope_row_) x = 0.0;
        predictor_.slopes(rows_.row[moved_[m]], slope_row_);
        for (int k = 0; k < columns_; ++k) slopes_by_column_[k * moved_count_ + m] = slope_row_[k];
    }
}

void Likelihood::still_products(std::span<double> out) const {
    const int m = moved_count_;
    for (double& x : out) x = 0.0;
    for (int a = 0; a < still_count_; ++a) {
        RowSum sum(out.data() + a * m, m);
        for (int f = 0; f < filled_count_[still_[a]]; ++f) {
            const int k = filled_[still_[a] * columns_ + f];
            sum.add(sound_slopes_[still_[a] * columns_ + k], slopes_by_column_.data() + k * m);
        }
        sum.flush();
    }
}

void Likelihood::moved_products(std::span<double> out) const {
    const int m = moved_count_;
    for (double& x : out) x = 0.0;
    for (int i = 0; i < m; ++i) {
        RowSum sum(out.data() + i * m, i + 1);
        for (int k = 0; k < columns_; ++k) {
            const double* column = slopes_by_column_.data() + k * m;
            sum.add(column[i], column);
        }
        sum.flush();
    }
}

bool Likelihood::factor() {
    has_factor_ = false;
    moved_slopes();
    const int n = still_count_;
    const int m = moved_count_;
    const std::span<double> coupling = coupling_.first(n * m);
    const std::span<double> block = moved_factor_.first(m * m);
    still_products(coupling);
    // Forward substitution for all moved rows at once.
    for (int a = 0; a < n; ++a) {
        double* row = coupling.data() + a * m;
        RowSum sum(row, m);
        for (int b = 0; b < a; ++b) sum.add(-still_factor_[a * n + b], coupling.data() + b * m);
        sum.flush();
        const double pivot = 1.0 / still_factor_[a * n + a];
        for (int j = 0; j < m; ++j) row[j] *= pivot;
    }
    moved_products(block);
    for (int i = 0; i < m; ++i) {
        RowSum sum(block.data() + i * m, i + 1);
        for (int a = 0; a < n; ++a) sum.add(-coupling[a * m + i], coupling.data() + a * m);
        sum.flush();
    }
    for (int i = 0; i < m; ++i) block[i * m + i] += rows_.row[moved_[i]].variance;
    if (!numbers::cholesky(block, m)) return false;
    moved_log_ = -0.5 * log_determinant(block, m) - m * log_sqrt_2pi;
    has_factor_ = true;
    return true;
}

void Likelihood::keep_factor() {
    std::copy_n(coupling_.data(), still_count_ * moved_count_, kept_coupling_.data());
    std::copy_n(moved_factor_.data(), moved_count_ * moved_count_, kept_factor_.data());
    kept_log_ = moved_log_;
}

void Likelihood::recall_factor() {
    std::copy_n(kept_coupling_.data(), still_count_ * moved_count_, coupling_.data());
    std::copy_n(kept_factor_.data(), moved_count_ * moved_count_, moved_factor_.data());
    moved_log_ = kept_log_;
    has_factor_ = true;
}

int Likelihood::whiten(std::span<double> out) {
    const int n = still_count_;
    const int m = moved_count_;
    for (int i = 0; i < m; ++i) {
        const Row& row = rows_.row[moved_[i]];
        out[i] = row.value - predictor_.mean(row);
    }
    for (int a = 0; a < n; ++a) {
        const double y = still_white_[a];
        const double* row = coupling_.data() + a * m;
        for (int i = 0; i < m; ++i) out[i] -= y * row[i];
    }
    numbers::forward_substitute(moved_factor_.first(m * m), m, out.first(m));
    return m;
}

double Likelihood::still_misfit() const {
    double sum = 0.0;
    for (int a = 0; a < still_count_; ++a) sum += still_white_[a] * still_white_[a];
    return sum;
}

double Likelihood::log_density_apart() const {
    return still_log_ + moved_log_;
}

void Likelihood::covariance(std::span<double> out) {
    const int total = rows_.measured;
    has_factor_ = false;
    moved_slopes();
    const std::span<double> coupling = coupling_.first(still_count_ * moved_count_);
    const std::span<double> block = moved_factor_.first(moved_count_ * moved_count_);
    still_products(coupling);
    moved_products(block);
    for (int a = 0; a < still_count_; ++a) {
        for (int b = 0; b < still_count_; ++b) {
            out[still_[a] * total + still_[b]] = slope_product(still_[a], still_[b]);
        }
        for (int j = 0; j < moved_count_; ++j) {
            const double product = coupling[a * moved_count_ + j];
            out[still_[a] * total + moved_[j]] = product;
            out[moved_[j] * total + still_[a]] = product;
        }
    }
    for (int i = 0; i < moved_count_; ++i) {
        for (int j = 0; j <= i; ++j) {
            out[moved_[i] * total + moved_[j]] = block[i * moved_count_ + j];
            out[moved_[j] * total + moved_[i]] = block[i * moved_count_ + j];
        }
    }
    for (int i = 0; i < total; ++i) out[i * total + i] += rows_.row[i].variance;
}

void Likelihood::residuals(std::span<double> residual, std::span<double> uncertainty) {
    const int total = rows_.measured;
    covariance(scratch_);
    for (int i = 0; i < total; ++i) {
        residual[i] = rows_.row[i].value - predictor_.mean(rows_.row[i]);
        uncertainty[i] = std::sqrt(scratch_[i * total + i]);
    }
}

void Likelihood::leave_one_out(std::span<double> standardised, std::span<double> gain,
                               std::span<double> uncertainty) {
    // With Q the inverse covariance: the residual of row i given the others is (Q e)_i / Q_ii, variance 1 /
    // Q_ii.
    const int total = rows_.measured;
    covariance(scratch_);
    const bool sound = numbers::cholesky(scratch_, total);
    for (int i = 0; i < total; ++i) {
        standardised[i] = 0.0;
        gain[i] = 0.0;
    }
    if (!sound) return;
    // The factors of the last hypothesis are done with: their memory serves for one column of Q at a time.
    const std::span<double> column = slopes_by_column_.first(total);
    const std::span<double> explained = coupling_.first(total);
    for (int i = 0; i < total; ++i) explained[i] = rows_.row[i].value - predictor_.mean(rows_.row[i]);
    numbers::solve_factored(scratch_, total, explained);
    for (int i = 0; i < total; ++i) {
        for (double& x : column) x = 0.0;
        column[i] = 1.0;
        numbers::forward_substitute(scratch_, total, column);
        double q = 0.0;
        for (const double x : column) q += x * x;
        standardised[i] = explained[i] / std::sqrt(q);
        if (!uncertainty.empty()) uncertainty[i] = 1.0 / std::sqrt(q);
        gain[i] = 0.5 * standardised[i] * standardised[i] - 0.5 * numbers::log(q) + log_sqrt_2pi;
    }
}

double Likelihood::log_density_spread(double times) {
    has_factor_ = false;
    const int total = rows_.measured;
    for (int a = 0; a < total; ++a) {
        for (int b = 0; b <= a; ++b) scratch_[a * total + b] = slope_product(a, b);
        const double variance = scratch_[a * total + a] + rows_.row[a].variance;
        scratch_[a * total + a] = variance * (1.0 + times * times);
    }
    if (!numbers::cholesky(scratch_, total)) return -1.0e300;
    const std::span<double> white = coupling_.first(total);
    for (int i = 0; i < total; ++i) white[i] = sound_residual_[i];
    numbers::forward_substitute(scratch_, total, white);
    double log_density = -0.5 * log_determinant(scratch_, total) - total * log_sqrt_2pi;
    for (const double x : white) log_density -= 0.5 * x * x;
    return log_density;
}

}  // namespace cornerbench::diagnosis
