#pragma once

#include <array>

#include "firmware/diagnosis/reading.h"

namespace cornerbench::field {

/// What a cause lets a reading be, given all readings taken, in the row's own form (resistances as natural
/// logarithms): spread as its size is, each place of that evenly, and by what is never known exactly.
struct Prediction {
    static constexpr int places = 7;
    /// Shares of the size's posterior below each place.
    static constexpr std::array<double, places> share_below{0.0, 0.05, 0.275, 0.5, 0.725, 0.95, 1.0};

    /// Other than `value`: that stands there, and no number.
    diagnosis::Shown shown = diagnosis::Shown::value;
    std::array<double, places> at{};  ///< predictions at these sizes, all alike where the size says nothing
    double deviation = 1.0;           ///< standard, of everything else

    /// Density of such readings at `y`.
    double density(double y) const;
    /// Share of such readings below `y`.
    double below(double y) const;
    /// Bounds outside of which next to nothing is read.
    double least() const;
    double most() const;
};

}  // namespace cornerbench::field
