#pragma once

#include "hal/panel.h"

namespace cornerbench::cortex_m {

/// The two lamps and two buttons of the MPS2 boards (FPGA input and output, DAI 0400, 4.3): rest and zero
/// shine; the buttons are zero and print. There are no digits: the weight goes out by the line.
class LedPanel final : public hal::Panel {
  public:
    hal::Answer show(const hal::PanelPicture& picture) override;
    hal::Answer take_keys(std::span<hal::Key> keys, std::size_t& count) override;

  private:
    std::uint32_t down_ = 0;  ///< buttons that were, when it was asked last
};

}  // namespace cornerbench::cortex_m
