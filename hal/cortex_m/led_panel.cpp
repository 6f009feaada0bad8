#include "hal/cortex_m/led_panel.h"

#include "hal/cortex_m/registers.h"

namespace cornerbench::cortex_m {

namespace {

constexpr std::uintptr_t lamps = 0x4002'8000;
constexpr std::uintptr_t buttons = 0x4002'8008;
constexpr std::array<hal::Key, 2> key_of_button{hal::Key::zero, hal::Key::print};

}  // namespace

hal::Answer LedPanel::show(const hal::PanelPicture& picture) {
    const bool stable = (picture.lights & hal::light_stable) != 0;
    const bool zero = (picture.lights & hal::light_zero) != 0;
    at(lamps) = (stable ? 1u : 0u) | (zero ? 2u : 0u);
    return hal::Answer::done;
}

hal::Answer LedPanel::take_keys(std::span<hal::Key> keys, std::size_t& count) {
    count = 0;
    const std::uint32_t down = at(buttons);
    for (std::size_t i = 0; i < key_of_button.size() && count < keys.size(); ++i) {
        const std::uint32_t bit = 1u << i;
        if ((down & ~down_ & bit) != 0) keys[count++] = key_of_button[i];
        down_ = (down_ & ~bit) | (down & bit);
    }
    return hal::Answer::done;
}

}  // namespace cornerbench::cortex_m
