#pragma once

#include "firmware/diagnosis/corner_readings.h"
#include "firmware/diagnosis/corner_report.h"
#include "firmware/diagnosis/corner_search.h"
#include "firmware/diagnosis/corner_sum.h"

/// What each channel of a per-cell box is connected to, by the forces that it shows under a mass over each
/// support.
namespace cornerbench::diagnosis {

/// Judges all channels. Reports exchanged ones, puts dead and reversed ones into `edits`, from which the
/// search over the sum then starts. The sum's rows are in `likelihood` before, and are to be taken anew
/// afterwards. False when a comparison failed.
[[nodiscard]] bool judge_channels(const CornerScale& scale, const ChannelReadings& readings,
                                  const CornerSum& sum, CornerLikelihood& likelihood, CornerSearch& search,
                                  double one_sided_sigmas, CornerReport& report, CornerEdits& edits);

}  // namespace cornerbench::diagnosis
