#pragma once

#include <span>
#include <vector>

#include "sim/spread/load_ratios.h"

/// Corners of many scales trimmed equal at once.
namespace cornerbench::spread {

/// Turns trims, or corner gains, until every corner of a scale shows the same, as far as they reach: what
/// field::trim_corners_equal does to one scale, by the slopes of the nominal one instead of its own.
class ColumnTrim {
  public:
    /// `nominal` has a trim or corner gains.
    ColumnTrim(const scale::Condition& nominal, const CornerLoads& loads);

    /// Trims the `conditions`, which stand in `boxes` in the same order and whose ratios are `ratios`.
    void trim(std::span<scale::Condition> conditions, const LoadRatios& ratios, ColumnBoxes& boxes) const;

  private:
    /// Between which settings a trim can be turned.
    struct Range {
        double low = 0.0;
        double high = 0.0;
    };

    /// A trim as a number in which corners are nearly straight: ohms in a lead, siemens of a shunt, a gain.
    static double setting(const scale::Condition& condition, int position);
    static void set(scale::Condition& condition, int position, double setting);
    static Range range(const scale::Condition& condition);

    double slope(int corner, int knob) const {
        return slopes_[static_cast<std::size_t>(corner * count_ + knob)];
    }

    /// The level that all corners of a scale can reach, the nearest to their mean.
    double first_target(const scale::Condition& condition, std::span<const double> response) const;
    /// One step towards `target`; the largest distance from it that the trims might still mend.
    double step(std::span<const double> response, double& target, bool first,
                scale::Condition& condition) const;

    int count_ = 0;
    std::vector<double> slopes_;  ///< of a corner's response against a setting, row by row
};

}  // namespace cornerbench::spread
