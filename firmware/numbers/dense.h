#pragma once

#include <span>

/// Small dense linear algebra in caller-given memory. Matrices are square, row-major, without padding:
/// element (i, j) of an n x n matrix is a[i * n + j].
namespace cornerbench::numbers {

/// Factors a symmetric positive definite matrix in place: A = L L'.
/// Only the lower triangle of `a` is read. Afterwards the lower triangle with the diagonal holds L and the
/// upper triangle holds L', so the logarithm of A's determinant is twice the sum of log(a[i * n + i]). False
/// when A is not positive definite to working precision (a pivot is no larger than 4 n rounding errors of its
/// own diagonal element, or is not finite); `a` is then spoilt.
[[nodiscard]] bool cholesky(std::span<double> a, int n);

/// Solves L y = b in place with a factor from `cholesky`; |y|^2 is b' A^-1 b.
void forward_substitute(std::span<const double> factor, int n, std::span<double> b);

/// Solves L' x = y in place with a factor from `cholesky`.
void back_substitute(std::span<const double> factor, int n, std::span<double> y);

/// Solves A x = b in place with a factor of A from `cholesky`.
void solve_factored(std::span<const double> factor, int n, std::span<double> b);

}  // namespace cornerbench::numbers
