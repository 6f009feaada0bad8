#pragma once

#include <array>
#include <cstdint>
#include <optional>

/// A Sinc^N decimator: N moving averages over R samples, of which every R-th is put out.
namespace cornerbench::weighing {

inline constexpr int max_sinc_order = 4;

/// Order N and factor R. At a frequency f of samples at the rate F its response is
/// (sin(pi f R / F) / (R sin(pi f / F)))^N: nothing of every multiple of F / R that is no multiple of F.
struct SincShape {
    int order = 1;
    int factor = 1;  ///< 1: passes everything through

    /// Factor^order: an output over this is a mean of the inputs.
    std::int64_t gain() const;

    /// Inputs that one output depends on: N (R - 1) + 1. A step lies behind it after N output periods.
    std::int64_t length() const { return static_cast<std::int64_t>(order) * (factor - 1) + 1; }

    /// Sum over n of h(n) h(n + lag), h the response to one sample over the gain. At lag 0 the share of white
    /// noise's variance that an output keeps; at lag k R the covariance of outputs k apart.
    double correlation(std::int64_t lag) const;
};

/// The decimator itself, as N integrators and N differences (Hogenauer 1981, IEEE Trans. ASSP 29, 155-162).
/// Whole numbers throughout: exact, with nothing left of a sample that has passed, as long as the largest
/// input times `gain` stays below 2^63. State is plain.
class SincDecimator {
  public:
    SincDecimator() = default;
    explicit SincDecimator(const SincShape& shape) : shape_(shape) {}

    /// Takes a sample; every `factor`-th time gives the weighted sum, `gain` times the mean.
    std::optional<std::int64_t> push(std::int64_t sample);

    const SincShape& shape() const { return shape_; }

  private:
    SincShape shape_;
    std::int32_t phase_ = 0;
    // Unsigned, since the integrators wrap around and the differences undo it.
    std::array<std::uint64_t, max_sinc_order> integrator_{};
    std::array<std::uint64_t, max_sinc_order> before_{};
};

}  // namespace cornerbench::weighing
