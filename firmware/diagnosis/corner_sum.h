#pragma once

#include "firmware/diagnosis/corner_likelihood.h"
#include "firmware/diagnosis/corner_readings.h"

namespace cornerbench::diagnosis {

/// Variance of a mean of readings: what is rounded off comes back alike at each.
double variance_kg2(const ReadingMean& mean, const CornerScale& scale);

/// The readings of the sum, as rows to compare.
class CornerSum {
  public:
    /// `channels` may be null; where the sum was not read, it is made of them.
    CornerSum(const CornerScale& scale, const CornerReadings& readings, const ChannelReadings* channels)
        : scale_(scale), readings_(readings), channels_(channels) {}

    /// Mass over each support, 0 where nothing was read.
    PerSupport mass_kg() const;
    /// True when the empty deck is known for every support.
    bool has_zero() const;
    /// Puts the rows, and no others, into `likelihood`.
    void take(CornerLikelihood& likelihood) const;

  private:
    const CornerScale& scale_;
    const CornerReadings& readings_;
    const ChannelReadings* channels_;
};

}  // namespace cornerbench::diagnosis
