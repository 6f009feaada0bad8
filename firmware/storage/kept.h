#pragma once

#include <array>
#include <cstdint>

#include "firmware/scale/numbering.h"
#include "firmware/scale/units.h"
#include "firmware/weighing/calibration.h"

namespace cornerbench::storage {

/// A weight as it was printed last, digits as shown.
struct KeptReading {
    bool known = false;
    std::uint32_t ticket = 0;  ///< its number since the power-on it was printed after
    std::int64_t gross = 0;
    std::int64_t tare = 0;
    std::int64_t net = 0;
    std::uint8_t decimals = 0;
    scale::MassUnit unit = scale::MassUnit::kilogram;

    friend bool operator==(const KeptReading&, const KeptReading&) = default;
};

/// What an indicator keeps without power.
struct Kept {
    bool calibrated = false;
    weighing::Calibration calibration;
    std::array<double, scale::max_cells> corner_gain{};  ///< of each channel; 1 unless set
    bool zero_known = false;
    double zero_offset_kg = 0.0;  ///< from the calibration's zero
    bool zero_lost = false;       ///< the deck came to rest below the range, and nobody has set zero since
    /// Each channel's ratio on the empty deck, V/V, when zero was set last; nothing unless known.
    bool empty_known = false;
    std::array<float, scale::max_cells> empty_ratio{};
    scale::MassUnit unit = scale::MassUnit::kilogram;
    std::uint32_t calibration_changes = 0;
    std::uint32_t configuration_changes = 0;
    KeptReading last_reading;

    friend bool operator==(const Kept& a, const Kept& b) {
        return a.calibrated == b.calibrated && a.calibration.zero_ratio == b.calibration.zero_ratio &&
               a.calibration.kg_per_ratio == b.calibration.kg_per_ratio &&
               a.calibration.kg_per_ratio2 == b.calibration.kg_per_ratio2 && a.corner_gain == b.corner_gain &&
               a.zero_lost == b.zero_lost && a.empty_known == b.empty_known &&
               a.empty_ratio == b.empty_ratio && a.zero_known == b.zero_known &&
               a.zero_offset_kg == b.zero_offset_kg && a.unit == b.unit &&
               a.calibration_changes == b.calibration_changes &&
               a.configuration_changes == b.configuration_changes && a.last_reading == b.last_reading;
    }
};

/// What a box keeps that was never set up.
Kept factory_kept();

}  // namespace cornerbench::storage
