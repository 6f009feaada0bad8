#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

#include "firmware/scale/numbering.h"
#include "firmware/scale/units.h"
#include "firmware/weighing/calibration.h"

/// What an indicator keeps without power, and the bytes it is kept in.
namespace cornerbench::storage {

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

    friend bool operator==(const Kept& a, const Kept& b) {
        return a.calibrated == b.calibrated && a.calibration.zero_ratio == b.calibration.zero_ratio &&
               a.calibration.kg_per_ratio == b.calibration.kg_per_ratio &&
               a.calibration.kg_per_ratio2 == b.calibration.kg_per_ratio2 && a.corner_gain == b.corner_gain &&
               a.zero_lost == b.zero_lost && a.empty_known == b.empty_known &&
               a.empty_ratio == b.empty_ratio && a.zero_known == b.zero_known &&
               a.zero_offset_kg == b.zero_offset_kg && a.unit == b.unit &&
               a.calibration_changes == b.calibration_changes &&
               a.configuration_changes == b.configuration_changes;
    }
};

/// What a box keeps that was never set up.
Kept factory_kept();

/// Bytes of one record: little-endian, the version first, CRC-32C last. A multiple of every program size up
/// to 256.
inline constexpr std::size_t record_size = 256;
using Record = std::array<std::uint8_t, record_size>;

/// `number` counts the records written, so that the newest can be told.
Record encode(const Kept& kept, std::uint32_t number);

struct Decoded {
    Kept kept;
    std::uint32_t number = 0;
};

/// None when a byte is not as it was written, the version is unknown or a value makes no sense.
std::optional<Decoded> decode(std::span<const std::uint8_t> record);

}  // namespace cornerbench::storage
