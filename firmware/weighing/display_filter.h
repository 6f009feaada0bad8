#pragma once

#include <array>
#include <cstdint>

/// The average that is shown: quick on a step, quiet at rest.
namespace cornerbench::weighing {

inline constexpr int max_display_values = 32;

/// By what a step is told from noise, and how long the average may grow.
struct DisplayFilterSettings {
    /// Standard deviation of one value at rest, in the values' own unit: the converter's noise through the
    /// filter before, and what wind and traffic are known to add. At 0 every change restarts the average.
    double noise = 0.0;
    /// Departures of more than this many standard deviations are a step. Six, since neighbours from a Sinc^2
    /// share noise: their means scatter up to 1.22 times as much as of independent ones, which leaves 4.9.
    double bound = 6.0;
    int longest = 16;  ///< values in the longest average, up to `max_display_values`
};

/// A growing average that forgets what no longer fits.
///
/// Each value joins the average, which grows to `longest` values and slides from there. Then the last 1, 2,
/// 4, 8 and 16 values are held against the older ones: where the two means differ by more than `bound`
/// standard deviations of their difference, noise sqrt(1/m + 1/(n - m)), the older ones are dropped. So a
/// step larger than about `bound` times the noise is shown at once, one of half that within four values, and
/// a slow drift lags by less than what noise hides anyway. At rest the noise falls as 1 / sqrt(n), times what
/// neighbours share.
///
/// Sums are whole numbers and exact for values within 2^53 either way; only the bound is rounded. State is
/// plain.
class DisplayFilter {
  public:
    DisplayFilter() = default;
    explicit DisplayFilter(const DisplayFilterSettings& settings);

    /// Takes the next value.
    void push(std::int64_t value);

    /// Forgets everything: a value is missing or not valid.
    void interrupt();

    /// Values in the average; 0: there is nothing to show.
    int count() const { return count_; }

    /// Mean of them; 0 without any.
    double mean() const { return count_ > 0 ? static_cast<double>(sum_) / count_ : 0.0; }

  private:
    std::int64_t& value_before(int age) {
        return values_[static_cast<unsigned>((next_ - 1 - age + max_display_values) % max_display_values)];
    }

    /// Drops all but the last `keep`.
    void shrink(int keep);

    DisplayFilterSettings settings_;
    std::array<std::int64_t, max_display_values> values_{};  ///< a ring
    std::int64_t sum_ = 0;                                   ///< of the last `count_`
    std::int32_t next_ = 0;
    std::int32_t count_ = 0;
};

}  // namespace cornerbench::weighing
