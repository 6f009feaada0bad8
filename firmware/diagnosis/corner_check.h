#pragma once

#include "firmware/diagnosis/corner_likelihood.h"
#include "firmware/diagnosis/corner_readings.h"
#include "firmware/diagnosis/corner_report.h"

/// The corner check that a summing box makes by itself, from stable readings alone.
namespace cornerbench::diagnosis {

/// Working memory and check in one, so that a box can place it where it likes.
class CornerCheck {
  public:
    /// Judges one round. `channels` may be null: a box with one converter on the sum.
    CornerReport judge(const CornerScale& scale, const CornerReadings& readings,
                       const ChannelReadings* channels = nullptr);

  private:
    CornerLikelihood likelihood_;
};

}  // namespace cornerbench::diagnosis
