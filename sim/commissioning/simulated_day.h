#pragma once

#include <cstdint>
#include <span>

#include "firmware/scale/causes.h"
#include "sim/field/simulated_sheet.h"
#include "sim/files/test_sheet.h"

/// A day of tests on a made-up specimen of the scale: the plan's sheet filled as somebody would fill it.
/// Knows nothing of how the sheet is judged.
namespace cornerbench::commissioning {

/// How the specimen came about, and whether its day is exact.
struct DaySetting {
    field::SheetSetting specimen;  ///< how the scale came about
    bool exact = false;            ///< no noise, weights exact and where they belong
};

/// How a scale usually comes to a day of that stage. Before a verification its corners were trimmed with
/// small weights, three times as well as by whole divisions of the display (common practice, no source).
DaySetting usual_day(files::Stage stage);

/// Draws the specimen of `seed`, lets the faults come, sets zero where the indicator may and goes through the
/// lines. Zero is not set when it lies outside the range of the initial zero.
files::TestSheet simulate_day(const files::TestSheet& plan, const files::Standard& standard,
                              std::span<const scale::Fault> faults, std::uint64_t seed,
                              const DaySetting& setting = {});

}  // namespace cornerbench::commissioning
