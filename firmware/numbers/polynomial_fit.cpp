#include "firmware/numbers/polynomial_fit.h"

#include <cmath>
#include <cstddef>
#include <limits>

namespace cornerbench::numbers {

namespace {

constexpr std::size_t terms = max_fit_degree + 1;
using Terms = std::array<double, terms>;

bool is_finite(double value) {
    return std::fabs(value) <= std::numeric_limits<double>::max();
}

/// Whether more than `degree` different x are among the points.
bool enough_different(std::span<const double> x, int degree) {
    Terms seen{};
    std::size_t count = 0;
    for (const double value : x) {
        bool is_new = true;
        for (std::size_t i = 0; i < count; ++i) is_new = is_new && seen[i] != value;
        if (!is_new) continue;
        if (count == static_cast<std::size_t>(degree)) return true;
        seen[count++] = value;
    }
    return false;
}

FitError check(std::span<const double> x, std::span<const double> y, std::span<const double> weights,
               int degree) {
    if (degree < 0 || degree > max_fit_degree) return FitError::bad_degree;
    if (y.size() != x.size() || (!weights.empty() && weights.size() != x.size()))
        return FitError::lengths_differ;
    for (std::size_t i = 0; i < x.size(); ++i)
        if (!is_finite(x[i]) || !is_finite(y[i])) return FitError::not_finite;
    for (const double w : weights)
        if (!(w > 0.0) || !is_finite(w)) return FitError::bad_weight;
    return enough_different(x, degree) ? FitError::none : FitError::too_few_points;
}

/// The orthogonal polynomials p_0 = 1, p_k+1 = (x - a_k) p_k - b_k p_k-1, and the fit in their terms.
struct Orthogonal {
    Terms a{};
    Terms b{};
    Terms norm{};  ///< sum of w p_k^2 over the points
    Terms share{};

    /// Values of p_0 to p_k at `x`.
    Terms values(double x, std::size_t k) const {
        Terms p{};
        p[0] = 1.0;
        for (std::size_t i = 0; i < k; ++i) p[i + 1] = (x - a[i]) * p[i] - (i > 0 ? b[i] * p[i - 1] : 0.0);
        return p;
    }

    /// What the fit up to p_k-1 leaves of (x, y).
    double rest(double x, double y, std::size_t k) const {
        if (k == 0) return y;
        const Terms p = values(x, k - 1);
        for (std::size_t i = 0; i < k; ++i) y -= share[i] * p[i];
        return y;
    }
};

}  // namespace

double PolynomialFit::at(double x) const {
    double sum = 0.0;
    for (int i = degree; i >= 0; --i) sum = sum * x + coefficient[static_cast<std::size_t>(i)];
    return sum;
}

PolynomialFit fit_polynomial(std::span<const double> x, std::span<const double> y,
                             std::span<const double> weights, int degree) {
    PolynomialFit fit;
    fit.error = check(x, y, weights, degree);
    if (fit.error != FitError::none) return fit;
    const std::size_t n = x.size();
    const auto last = static_cast<std::size_t>(degree);
    const auto weight = [&](std::size_t i) { return weights.empty() ? 1.0 : weights[i]; };

    Orthogonal basis;
    for (std::size_t k = 0; k <= last; ++k) {
        double norm = 0.0;
        double norm_x = 0.0;
        double onto = 0.0;
        for (std::size_t i = 0; i < n; ++i) {
            const double p = basis.values(x[i], k)[k];
            norm += weight(i) * p * p;
            norm_x += weight(i) * x[i] * p * p;
            // Projecting what is left, not y, keeps the small terms free of the large ones' rounding.
            onto += weight(i) * basis.rest(x[i], y[i], k) * p;
        }
        if (!(norm > 0.0) || !is_finite(norm_x)) {
            fit.error = FitError::too_few_points;
            return fit;
        }
        basis.norm[k] = norm;
        basis.a[k] = norm_x / norm;
        basis.b[k] = k > 0 ? norm / basis.norm[k - 1] : 0.0;
        basis.share[k] = onto / norm;
    }

    double left = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        const double rest = basis.rest(x[i], y[i], last + 1);
        left += weight(i) * rest * rest;
    }
    fit.degree = degree;
    fit.degrees_of_freedom = static_cast<int>(n) - degree - 1;
    const double variance = fit.degrees_of_freedom > 0 ? left / fit.degrees_of_freedom : 0.0;
    fit.residual_sd = std::sqrt(variance);

    // p_k written in powers of x, from the recurrence.
    Terms before{};
    Terms powers{};
    powers[0] = 1.0;
    Terms square{};
    for (std::size_t k = 0; k <= last; ++k) {
        for (std::size_t j = 0; j <= k; ++j) {
            fit.coefficient[j] += basis.share[k] * powers[j];
            square[j] += powers[j] * powers[j] / basis.norm[k];
        }
        Terms next{};
        for (std::size_t j = 0; j < terms; ++j) {
            next[j] = (j > 0 ? powers[j - 1] : 0.0) - basis.a[k] * powers[j] - basis.b[k] * before[j];
        }
        before = powers;
        powers = next;
    }
    for (std::size_t j = 0; j <= last; ++j) fit.coefficient_sd[j] = std::sqrt(variance * square[j]);
    return fit;
}

}  // namespace cornerbench::numbers
