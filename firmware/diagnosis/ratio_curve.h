#pragma once

#include <array>
#include <cmath>
#include <cstddef>

/// What a sound cell's network does as its bridge ratio changes, without solving the network again.
namespace cornerbench::diagnosis {

/// Some numbers that depend smoothly on a bridge ratio: the polynomials of degree four through five exact
/// values. A conductance that runs like 1 / (1 + ratio) is met within two parts in 10^13, which is less than
/// a part in 10^10 of a full signal.
template <std::size_t N>
class RatioCurve {
  public:
    using Values = std::array<double, N>;
    /// Largest ratio, either way, that it holds for, in V/V.
    static constexpr double reach = 4.0e-3;

    RatioCurve() = default;
    /// `exact(ratio)` gives the values.
    template <typename Exact>
    explicit RatioCurve(Exact exact) {
        const Values f[5] = {exact(-reach), exact(-0.5 * reach), exact(0.0), exact(0.5 * reach),
                             exact(reach)};
        // Newton's differences about the middle, with the step as the unit.
        for (std::size_t i = 0; i < N; ++i) {
            const double even_near = f[1][i] + f[3][i] - 2.0 * f[2][i];
            const double even_far = f[0][i] + f[4][i] - 2.0 * f[2][i];
            const double odd_near = f[3][i] - f[1][i];
            const double odd_far = f[4][i] - f[0][i];
            term_[0][i] = f[2][i];
            term_[1][i] = (8.0 * odd_near - odd_far) / 12.0;
            term_[2][i] = (16.0 * even_near - even_far) / 24.0;
            term_[3][i] = (odd_far - 2.0 * odd_near) / 12.0;
            term_[4][i] = (even_far - 4.0 * even_near) / 24.0;
        }
    }

    /// Whether the curve holds at a bridge ratio, V/V.
    static bool reaches(double ratio) { return std::fabs(ratio) <= reach; }

    Values at(double ratio) const {
        const double t = ratio * (2.0 / reach);
        Values values = term_[4];
        for (int k = 3; k >= 0; --k)
            for (std::size_t i = 0; i < N; ++i) values[i] = values[i] * t + term_[k][i];
        return values;
    }

  private:
    std::array<Values, 5> term_{};
};

}  // namespace cornerbench::diagnosis
