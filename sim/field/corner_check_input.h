#pragma once

#include <vector>

#include "firmware/diagnosis/corner_check.h"
#include "firmware/diagnosis/reading.h"

namespace cornerbench::field {

/// A reading about loads that the check could not use.
struct UnusedReading {
    int index = 0;                                              ///< in the sheet
    diagnosis::CornerError why = diagnosis::CornerError::none;  ///< none: it is no corner reading at all
};

/// A reading sheet as the box's own corner check would have seen it.
struct CornerCheckInput {
    diagnosis::CornerScale scale;
    diagnosis::CornerReadings readings{0};
    diagnosis::ChannelReadings channels{0};
    bool with_channels = false;
    std::vector<UnusedReading> unused;

    /// What the box says to it.
    diagnosis::CornerReport judge() const;
};

/// Takes from `sheet` the weights and channels of the empty deck and of one mass over one support.
CornerCheckInput corner_check_input(const scale::Description& description, const diagnosis::Sheet& sheet);

}  // namespace cornerbench::field
