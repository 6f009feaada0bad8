#pragma once

#include <cstdint>

namespace cornerbench::watch {

/// A two-sided cumulative sum (Page, 1954) of what a number strays from its own past, in its own standard
/// deviations: self-starting (Hawkins, 1987), so that it needs no reference beforehand.
struct ChartSettings {
    double floor = 0.0;        ///< what nobody minds: added in square to the standard deviation
    double reference = 0.5;    ///< sigmas of every number that do not count; half the shift it is best for
    double threshold = 8.0;    ///< sigmas added up at which the alarm is raised
    double memory = 400.0;     ///< numbers after which the past begins to fade
    double most_sigmas = 3.5;  ///< that one number counts for at most: a single odd truck raises no alarm
    double recent = 12.0;      ///< numbers in the mean of what was lately
};

inline constexpr int learning_numbers = 12;  ///< before a chart judges

/// Threshold at which a two-sided sum of independent standard normal numbers, `reference` apart, gives one
/// false alarm in `run_length` numbers on the mean: Siegmund's approximation (1985), solved for it.
double threshold_for(double reference, double run_length);

/// Mean number of numbers to a false alarm, by the same approximation.
double run_length_for(double reference, double threshold);

/// Notices that a number which ought to stay has moved.
class Chart {
  public:
    /// Takes the number of one truck; trucks count from 1. What is not finite is passed over, and after an
    /// alarm only `recent` follows.
    void take(double value, std::uint32_t truck, const ChartSettings& settings);

    bool alarmed() const { return alarm_truck_ != 0; }
    std::uint32_t alarm_truck() const { return alarm_truck_; }  ///< at which it was noticed
    std::uint32_t since_truck() const { return since_truck_; }  ///< after which it has most likely moved
    bool upwards() const { return upwards_; }

    /// Of the past, without what came since an alarm; `count` of numbers, up to the memory.
    double mean() const { return mean_; }
    double deviation() const;
    double count() const { return count_; }
    double recent() const { return recent_; }
    /// By how much the number that raised the alarm was off.
    double alarm_step() const { return alarm_step_; }

    /// Forgets the alarm and learns anew: the scale was mended or adjusted.
    void restart() { *this = {}; }

  private:
    double mean_ = 0.0;
    double square_ = 0.0;  ///< of what strays from the mean, on the mean
    double count_ = 0.0;
    double recent_ = 0.0;
    double alarm_step_ = 0.0;
    double up_ = 0.0;
    double down_ = 0.0;
    std::uint32_t up_since_ = 0;
    std::uint32_t down_since_ = 0;
    std::uint32_t alarm_truck_ = 0;
    std::uint32_t since_truck_ = 0;
    bool upwards_ = false;
};

}  // namespace cornerbench::watch
