#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/causes.h"
#include "firmware/weighing/still_scale.h"
#include "sim/files/scale_file.h"
#include "sim/files/standard_file.h"
#include "sim/sweep/columns.h"

/// One number of a scale or of a cause run through a range, and what follows from it.
namespace cornerbench::sweep {

/// The scale at one value of what is swept, with what is wrong with it.
struct Scene {
    files::ScaleFile scale;
    std::vector<scale::Fault> faults;
};

/// Under which loads, and as calibrated when, a sweep looks at its scenes.
struct Setting {
    double test_kg = 0.0;   ///< over corners and sections; 0: by the standard's rule for each scene
    diagnosis::Load load;   ///< for what is looked at under a load
    bool as_shown = false;  ///< weights in whole divisions, as the display has them
    /// Zero and span as set before anything was changed; none: every scene was calibrated as it is, sound.
    std::optional<weighing::ZeroAndSpan> calibration{};
};

/// A value of what is swept and what each column came to, in SI; none where nothing can be shown.
struct Point {
    double value = 0.0;
    std::vector<std::optional<double>> outputs;
};

/// `count` values, at least 2, from `from` to `to` with both; with `logarithmic` in equal ratios, which needs
/// ends of one sign and not 0.
std::vector<double> values_between(double from, double to, int count, bool logarithmic);

Point point_at(double value, const Scene& scene, const files::Standard& standard,
               const std::vector<Column>& columns, const Setting& setting);

}  // namespace cornerbench::sweep
