#pragma once

#include "hal/converter.h"

namespace cornerbench::cortex_m {

/// The MPS2 boards have no converter. In its place frames at even times of a bridge simulator, as test
/// benches use one in place of the cells: what it gives is set from outside, by a debugger or by `set`.
class BridgeSimulator final : public hal::Converter {
  public:
    explicit BridgeSimulator(const hal::ConverterTraits& traits);

    hal::ConverterTraits traits() const override { return traits_; }
    hal::Answer select(hal::Excitation excitation, std::uint32_t channels) override;
    hal::Answer take(hal::Microseconds now, std::span<hal::Frame> frames, std::size_t& count) override;

    void set(int channel, std::int32_t code) { code_[static_cast<std::size_t>(channel)] = code; }

  private:
    void convert(hal::Frame& frame);

    hal::ConverterTraits traits_;
    std::int64_t period_us_;
    std::array<std::int32_t, hal::max_channels> code_{};
    std::uint32_t chosen_;
    bool excited_ = true;
    std::uint32_t sequence_ = 0;
    hal::Microseconds next_us_ = 0;  ///< when the next conversion ends
};

}  // namespace cornerbench::cortex_m
