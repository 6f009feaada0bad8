#pragma once

#include <vector>

#include "sim/bad_days/campaign.h"
#include "tests/yard/shipped_yard.h"

namespace cornerbench::tests {

/// The shipped scales as bad days are spent on them, with both boxes.
inline std::vector<bad_days::DayScale> shipped_days() {
    std::vector<bad_days::DayScale> scales;
    for (const char* name : shipped_scales) {
        const ShippedScale shipped(name);
        scales.push_back({name, shipped.text, shipped.file, shipped.standard});
    }
    return bad_days::with_both_boxes(scales);
}

}  // namespace cornerbench::tests
