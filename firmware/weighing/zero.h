#pragma once

#include <cstdint>

/// The zero of an indicator: at power-on, at the key, and followed by itself.
namespace cornerbench::weighing {

/// Ranges as shares of Max, windows and rates in divisions. As made, what OIML R 76-1:2006 allows; rules.h
/// holds the limits of each standard, with the clauses.
struct ZeroSettings {
    double initial_below = 0.10;  ///< about the calibration's zero
    double initial_above = 0.10;
    double setting_below = 0.02;  ///< about the zero found at power-on, for key and tracking alike
    double setting_above = 0.02;
    bool tracking = true;
    double tracking_window_divisions = 0.5;  ///< tracking follows nothing this far or farther from zero
    double tracking_divisions_per_s = 0.5;   ///< and no faster than this; 0: at once
    /// Longest time between two calls that counts, so that a pause buys no jump.
    std::int64_t longest_step_us = 200'000;
    double centre_divisions = 0.25;  ///< the zero light is on within this
};

/// What the zero key did, or why not.
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
