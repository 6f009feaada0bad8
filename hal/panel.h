#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "hal/answer.h"

namespace cornerbench::hal {

inline constexpr std::size_t panel_digits = 8;
inline constexpr std::size_t panel_words = 24;

/// Lights beside the digits, as bits.
enum PanelLight : std::uint16_t {
    light_stable = 1,
    light_zero = 2,  ///< within a quarter of a division of zero
    light_net = 4,
    light_preset = 8,    ///< the tare was keyed in
    light_degraded = 16  ///< a cell is lost; not for trade
};

/// What stands on the panel: digits or, without a weight, words.
struct PanelPicture {
    std::array<char, panel_digits> digits{};  ///< right-aligned, with point and sign; all zero bytes: none
    std::array<char, panel_words> words{};    ///< why there is no weight, or a remark; ends in zero bytes
    std::array<char, 4> unit{};
    std::uint16_t lights = 0;  ///< PanelLight bits

    friend bool operator==(const PanelPicture&, const PanelPicture&) = default;
};

/// The keys of the front.
enum class Key : std::uint8_t { zero, tare, clear, unit, print };

/// The front of the indicator. A box without one answers `not_there` and works by its line alone.
///
/// Promised: keys come out once, in the order they were pressed. Not promised: that a picture is seen before
/// the next replaces it.
class Panel {
  public:
    /// Puts `picture` in the place of the one before.
    virtual Answer show(const PanelPicture& picture) = 0;

    /// Keys pressed since the last call, as many as fit; `count` is how many, 0 is no error.
    virtual Answer take_keys(std::span<Key> keys, std::size_t& count) = 0;

  protected:
    ~Panel() = default;
};

}  // namespace cornerbench::hal
