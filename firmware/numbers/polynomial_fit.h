#pragma once

#include <array>
#include <span>

/// Weighted least squares fit of a polynomial of low degree.
namespace cornerbench::numbers {

inline constexpr int max_fit_degree = 3;

/// Why points have no fit.
enum class FitError : unsigned char {
    none,
    bad_degree,      ///< below 0 or above `max_fit_degree`
    lengths_differ,  ///< x, y and weights are not equally many
    not_finite,      ///< an x or y that is no finite number
    bad_weight,      ///< a weight that is not a positive finite number
    too_few_points   ///< no more different x than `degree`
};

/// y = coefficient[0] + coefficient[1] x + ...; all 0 with an error.
struct PolynomialFit {
    FitError error = FitError::none;
    int degree = 0;
    std::array<double, max_fit_degree + 1> coefficient{};
    std::array<double, max_fit_degree + 1> coefficient_sd{};  ///< standard deviations; 0 without freedom
    double residual_sd = 0.0;    ///< of an observation with weight 1; 0 without freedom
    int degrees_of_freedom = 0;  ///< points less coefficients

    /// Value at `x`.
    double at(double x) const;
};

/// Fits a polynomial of `degree` to the points (x, y); `weights` are inverse variances up to a factor, or
/// empty for all equal. Polynomials orthogonal over the points (Forsythe 1957, J. SIAM 5, 74-88) instead of
/// the normal equations, which lose half the digits. Standard deviations are the textbook's: residual
/// variance times the diagonal of the inverse normal matrix.
PolynomialFit fit_polynomial(std::span<const double> x, std::span<const double> y,
                             std::span<const double> weights, int degree);

}  // namespace cornerbench::numbers
