#pragma once

#include <array>
#include <cstdint>

/// Whether a scale has come to rest.
namespace cornerbench::weighing {

inline constexpr int max_stability_values = 64;

/// What counts as rest. The standards set the outer limits: OIML R 76-1:2006, 4.4.2, within 1 e of the final
/// value (from memory); NIST Handbook 44, 2.20, S.2.5.1, no printing, zero or tare beyond 3 d on vehicle
/// scales and 1 d on others (from memory). One division for one second is our own choice inside both.
struct StabilitySettings {
    double band_divisions = 1.0;  ///< largest less smallest value of the window, at most
    int values = 11;              ///< in the window, 2 to `max_stability_values`: 1 s at ten a second
};

/// Values whose first and last lie at least `time_us` apart at `rate_mHz` values in a thousand seconds, as
/// many as a window can hold at most.
constexpr int values_spanning(std::int64_t time_us, std::int64_t rate_mHz) {
    if (time_us <= 0 || rate_mHz <= 0) return 2;
    const std::int64_t nano = 1'000'000'000;
    if (time_us > nano || rate_mHz > nano) return max_stability_values;
    const std::int64_t steps = (time_us * rate_mHz + nano - 1) / nano;
    return steps + 1 < max_stability_values ? static_cast<int>(steps < 1 ? 2 : steps + 1)
                                            : max_stability_values;
}

/// Stable while all of the last `values` weights lie within the band. A missing weight starts over. State is
/// plain; weights in kg.
class Stability {
  public:
    Stability() = default;

    /// A count out of range becomes the nearest that is in it; a division that is not above 0 is never
    /// stable.
    Stability(const StabilitySettings& settings, double division_kg);

    /// Takes the next weight, before rounding, and tells whether the scale is stable.
    bool push(double weight_kg);

    /// A weight is missing or not valid.
    void interrupt();

    bool stable() const { return stable_; }

    /// In motion, or not watched for long enough yet.
    bool in_motion() const { return !stable_; }

    /// Largest less smallest of the weights in the window, kg; 0 without any.
    double spread_kg() const;

  private:
    double band_kg_ = -1.0;
    std::int32_t values_ = 2;
    std::array<double, max_stability_values> ring_{};
    std::int32_t next_ = 0;
    std::int32_t count_ = 0;
    bool stable_ = false;
};

}  // namespace cornerbench::weighing
