#include "hal/cortex_m/bridge_simulator.h"

#include <algorithm>

namespace cornerbench::cortex_m {

namespace {

/// What the part would keep for a firmware that comes late.
constexpr std::int64_t most_waiting = 16;
/// Simulators are not that quiet: a code that never moves looks stuck.
constexpr std::uint32_t noise_mask = 15;

std::uint32_t every_channel(int channels) {
    return (1u << static_cast<unsigned>(channels)) - 1u;
}

}  // namespace

BridgeSimulator::BridgeSimulator(const hal::ConverterTraits& traits)
    : traits_(traits),
      period_us_(1'000'000'000 / std::max<std::int64_t>(traits.rate_mHz, 1)),
      chosen_(every_channel(traits.channels)),
      next_us_(period_us_) {}

hal::Answer BridgeSimulator::select(hal::Excitation excitation, std::uint32_t channels) {
    if ((channels & ~every_channel(traits_.channels)) != 0) return hal::Answer::bad_argument;
    excited_ = excitation != hal::Excitation::off;
    chosen_ = channels;
    return hal::Answer::done;
}

void BridgeSimulator::convert(hal::Frame& frame) {
    frame = {};
    frame.sequence = sequence_++;
    frame.taken_us = next_us_;
    next_us_ += period_us_;
    const std::int64_t top = (std::int64_t{1} << (traits_.bits - 1)) - 1;
    for (std::size_t i = 0; i < static_cast<std::size_t>(traits_.channels); ++i) {
        const std::uint32_t noise =
            (frame.sequence * 2'654'435'761u + static_cast<std::uint32_t>(i) * 40'503u) >> 20u;
        const std::int64_t code = code_[i] + static_cast<std::int64_t>(noise & noise_mask);
        const bool inside = code <= top && code >= -top - 1;
        frame.code[i] = static_cast<std::int32_t>(std::clamp(code, -top - 1, top));
        frame.fault[i] = !excited_                   ? hal::sample_reference_missing
                         : (chosen_ >> i & 1u) == 0u ? hal::sample_not_new
                         : inside                    ? hal::sample_good
                                                     : hal::sample_over_range;
    }
    frame.check = hal::check_of(frame, traits_.channels);
}

hal::Answer BridgeSimulator::take(hal::Microseconds now, std::span<hal::Frame> frames, std::size_t& count) {
    count = 0;
    const std::int64_t late = now < next_us_ ? 0 : (now - next_us_) / period_us_ + 1;
    if (late > most_waiting) {
        sequence_ += static_cast<std::uint32_t>(late - most_waiting);
        next_us_ += (late - most_waiting) * period_us_;
    }
    while (count < frames.size() && next_us_ <= now) convert(frames[count++]);
    return hal::Answer::done;
}

}  // namespace cornerbench::cortex_m
