#pragma once

#include <cstdint>

/// The zero of an indicator: at power-on, at the key, and followed by itself.
namespace cornerbench::weighing {

/// Ranges as shares of Max, windows and rates in divisions. Clauses of OIML R 76-1:2006 and NIST Handbook
/// 44, 2.20, are from memory; the limits of 4 %, 20 %, 0.25 e and 0.5 d/s were confirmed in documents that
/// cite them.
struct ZeroSettings {
    /// About the calibration's zero; together at most 20 % of Max (R 76, 4.5.1; Handbook 44, S.2.1.5).
    double initial_below = 0.10;
    double initial_above = 0.10;
    /// About the zero found at power-on, for key and tracking alike; together at most 4 % of Max (R
    /// 76, 4.5.1).
    double setting_below = 0.02;
    double setting_above = 0.02;
    bool tracking = true;
    /// Tracking follows nothing this far or farther from zero: half a division, where zero is still shown (R
    /// 76, 4.5.7; Handbook 44, S.2.1.3, from 2007 on), or 3 d (Handbook 44, vehicle scales before and class
    /// III L).
    double tracking_window_divisions = 0.5;
    /// And no faster than this (R 76, 4.5.7); 0: at once (Handbook 44 limits what is followed, not how fast).
    double tracking_divisions_per_s = 0.5;
    /// Longest time between two calls that counts, so that a pause buys no jump.
    std::int64_t longest_step_us = 200'000;
    /// The zero light is on within this (R 76, 4.5.5).
    double centre_divisions = 0.25;
};

inline constexpr double initial_zero_limit = 0.20;  ///< of Max: R 76-1:2006, 4.5.1
inline constexpr double zero_setting_limit = 0.04;  ///< of Max: R 76-1:2006, 4.5.1

/// Whether the ranges are no wider than both standards allow, and nothing is negative or no number.
bool within_limits(const ZeroSettings& settings);

enum class ZeroAnswer : unsigned char {
    done,
    not_stable,      ///< wait until the scale rests
    out_of_range,    ///< too far from where zero may be: take the load off, or calibrate
    no_initial_zero  ///< no zero was found since power-on
};

/// Weights given are the calibration's, in kg, before any zero and before rounding; their gross is what is
/// left past the zero. Time is only compared, from any start. State is plain.
class Zero {
  public:
    Zero() = default;
    Zero(const ZeroSettings& settings, double max_kg, double division_kg);

    /// Initial zero: to be offered every weight since power-on until it is done. Until then nothing is shown.
    ZeroAnswer find_initial(double weight_kg, bool stable);

    /// Starts from a known zero instead, for a scale without an initial one. It has to lie in the initial
    /// range.
    ZeroAnswer start_at(double offset_kg);

    /// The zero key. A tare has to be cleared when it is done (R 76-1:2006, 4.5.4, from memory).
    ZeroAnswer set(double weight_kg, bool stable);

    /// Zero tracking: to be given every weight. Follows only while the scale is stable and stands at zero.
    void track(double weight_kg, bool stable, std::int64_t now_us);

    /// No weight: tracking starts over.
    void interrupt() { following_ = false; }

    bool established() const { return established_; }
    double gross_kg(double weight_kg) const { return weight_kg - offset_kg_; }

    /// Whether the zero light is on.
    bool at_centre(double weight_kg) const;

    /// Zero now, and at power-on, both from the calibration's.
    double offset_kg() const { return offset_kg_; }
    double initial_offset_kg() const { return initial_offset_kg_; }

  private:
    bool in_setting_range(double offset_kg) const;

    ZeroSettings settings_;
    double max_kg_ = 0.0;
    double division_kg_ = 0.0;
    double offset_kg_ = 0.0;
    double initial_offset_kg_ = 0.0;
    std::int64_t followed_us_ = 0;  ///< when tracking last looked
    bool established_ = false;
    bool following_ = false;  ///< stable at zero when tracking last looked
};

}  // namespace cornerbench::weighing
