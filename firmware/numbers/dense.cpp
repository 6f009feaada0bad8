#include "firmware/numbers/dense.h"

#include <cmath>
#include <cstddef>
#include <limits>

namespace cornerbench::numbers {

// Every inner loop on the right-hand side adds a multiple of one row to another and never sums along a row:
// it vectorises without changing the order of any sum, so the bits stay the same at every vector width.

bool cholesky(std::span<double> a, int n) {
    const auto size = static_cast<std::size_t>(n);
    const double least_part = 4.0 * static_cast<double>(n) * std::numeric_limits<double>::epsilon();
    for (std::size_t j = 0; j < size; ++j) {
        double* const pivot_row = &a[j * size];
        const double pivot = pivot_row[j];
        double eliminated = 0.0;
        for (std::size_t k = 0; k < j; ++k) eliminated += pivot_row[k] * pivot_row[k];
        const double least = least_part * (pivot + eliminated);
        if (!(pivot > 0.0 && pivot > least && pivot <= std::numeric_limits<double>::max())) return false;

        const double root = std::sqrt(pivot);
        pivot_row[j] = root;
        for (std::size_t i = j + 1; i < size; ++i) {
            a[i * size + j] /= root;
            pivot_row[i] = a[i * size + j];
        }
        for (std::size_t i = j + 1; i < size; ++i) {
            double* const row = &a[i * size];
            const double factor = row[j];
            for (std::size_t k = j + 1; k <= i; ++k) row[k] -= factor * pivot_row[k];
        }
    }
    return true;
}

void forward_substitute(std::span<const double> factor, int n, std::span<double> b) {
    const auto size = static_cast<std::size_t>(n);
    for (std::size_t j = 0; j < size; ++j) {
        const double* const row = &factor[j * size];
        b[j] /= row[j];
        for (std::size_t i = j + 1; i < size; ++i) b[i] -= row[i] * b[j];
    }
}

void back_substitute(std::span<const double> factor, int n, std::span<double> y) {
    const auto size = static_cast<std::size_t>(n);
    for (std::size_t j = size; j-- > 0;) {
        const double* const row = &factor[j * size];
        y[j] /= row[j];
        for (std::size_t i = 0; i < j; ++i) y[i] -= row[i] * y[j];
    }
}

void solve_factored(std::span<const double> factor, int n, std::span<double> b) {
    forward_substitute(factor, n, b);
    back_substitute(factor, n, b);
}

}  // namespace cornerbench::numbers
