#pragma once

#include <array>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "firmware/storage/kept.h"

/// Memories as a firmware of each version left them, byte for byte, and what had been kept in them.
namespace cornerbench::storage::testing {

/// The n-th save of all images; version 1 knew no last reading.
inline Kept numbered(int n, bool with_reading = true) {
    Kept kept = factory_kept();
    kept.calibrated = true;
    kept.calibration = {0.21e-3 + 1.0e-6 * n, 6.0e7 + 1000.0 * n, -3.0e5 - n};
    for (std::size_t i = 0; i < kept.corner_gain.size(); ++i)
        kept.corner_gain[i] = 1.0 + 0.001 * static_cast<double>(i) - 0.0001 * n;
    kept.zero_known = true;
    kept.zero_offset_kg = -12.5 * n;
    kept.zero_lost = n % 2 == 1;
    kept.empty_known = true;
    for (std::size_t i = 0; i < kept.empty_ratio.size(); ++i)
        kept.empty_ratio[i] = 1.0e-4f + 1.0e-6f * static_cast<float>(i) + 1.0e-7f * static_cast<float>(n);
    kept.unit = static_cast<scale::MassUnit>(n % 3);
    kept.calibration_changes = static_cast<std::uint32_t>(n);
    kept.configuration_changes = 0x01020300u + static_cast<std::uint32_t>(n);
    if (!with_reading) return kept;
    kept.last_reading = {true,
                         100u + static_cast<std::uint32_t>(n),
                         12340 + n,
                         500 * n,
                         12340 + n - 500 * n,
                         static_cast<std::uint8_t>(n % 3),
                         static_cast<scale::MassUnit>((n + 1) % 3)};
    return kept;
}

struct Image {
    std::string name;
    int version = 2;
    int newest = 0;     ///< n of the last save that was told to be kept
    bool torn = false;  ///< power went during the next one
};

/// Two blocks of 4096 bytes, programmed by 8, erased to FF.
inline const std::array<Image, 8> images{{{"version-1-first.image", 1, 1, false},
                                          {"version-1-torn.image", 1, 3, true},
                                          {"version-1-second-block.image", 1, 20, false},
                                          {"version-1-wrapped.image", 1, 40, false},
                                          {"version-2-first.image", 2, 1, false},
                                          {"version-2-torn.image", 2, 3, true},
                                          {"version-2-in-doubt.image", 2, 5, true},
                                          {"version-2-wrapped.image", 2, 20, false}}};

inline std::vector<std::uint8_t> bytes_of(const Image& image) {
    std::ifstream file(std::string(CORNERBENCH_SOURCE_DIR) + "/tests/storage/images/" + image.name,
                       std::ios::binary);
    const std::vector<char> read{std::istreambuf_iterator<char>(file), {}};
    return {read.begin(), read.end()};
}

}  // namespace cornerbench::storage::testing
