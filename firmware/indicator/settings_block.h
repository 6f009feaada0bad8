#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "firmware/indicator.h"

/// One firmware for every scale: its settings stand in a block of their own in the board's flash.
namespace cornerbench {

inline constexpr std::size_t settings_block_size = 2048;
/// A longer word of the identity is cut.
inline constexpr std::size_t longest_identity_word = 31;

using SettingsBlock = std::array<std::uint8_t, settings_block_size>;

/// The block of these settings, the same on every machine: a mark, a version, the values lowest byte first,
/// CRC-32C at its end.
SettingsBlock encode(const IndicatorSettings& settings);

/// Why a block holds no settings.
enum class SettingsError : std::uint8_t {
    none,
    no_block,       ///< too short, or no mark at its beginning: erased flash, another file
    other_version,  ///< written for a firmware with other settings
    damaged,        ///< the CRC does not match
    impossible      ///< a value that no settings can have
};

/// What is wrong with a block, for messages.
constexpr const char* words(SettingsError error) {
    switch (error) {
        case SettingsError::none:
            return "none";
        case SettingsError::no_block:
            return "no block of settings";
        case SettingsError::other_version:
            return "settings of another version";
        case SettingsError::damaged:
            return "damaged settings";
        case SettingsError::impossible:
            return "settings with an impossible value";
    }
    return "unknown";
}

/// Reads `block`, which has to outlive `settings`: the identity points into it. After anything but `none`
/// nothing may be taken from `settings`.
[[nodiscard]] SettingsError decode(std::span<const std::uint8_t> block, IndicatorSettings& settings);

}  // namespace cornerbench
