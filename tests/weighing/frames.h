#pragma once

#include <cmath>
#include <vector>

#include "firmware/weighing/weigher.h"
#include "hal/converter.h"
#include "tests/random_scale.h"

/// Frames as a converter would make them, for the tests of what comes behind it.
namespace cornerbench::weighing_test {

/// 60 t by 20 kg, one channel, 24 bits, 100 Hz, 3.9 mV/V; 1 mV/V at Max.
inline weighing::WeigherSettings bridge_settings(int channels = 1) {
    weighing::WeigherSettings settings;
    settings.ranges.count = 1;
    settings.ranges.ranges[0] = {60000.0, 20.0};
    settings.converter = {channels, 24, 100'000, 3.9e-3};
    settings.noise_V_per_V = 6.0e-9;
    for (int i = 0; i < channels; ++i)
        settings.mate[static_cast<std::size_t>(i)] = static_cast<std::int8_t>(channels - 1 - i);
    return settings;
}

/// Straight: 1 mV/V, over all channels together, is 60 t; the empty deck gives 0.2 mV/V.
inline weighing::Calibration bridge_calibration() {
    return {0.2e-3, 60000.0 / 1.0e-3, 0.0};
}

/// A converter in good order that goes on from frame to frame.
class FrameMaker {
  public:
    explicit FrameMaker(const hal::ConverterTraits& traits) : traits_(traits) {}

    /// The next frame; every channel reads `ratio` / channels, V/V, with a noise of about `noise` codes.
    hal::Frame next(double ratio, double noise = 0.0) {
        hal::Frame frame;
        frame.sequence = sequence_++;
        frame.taken_us = now_us_;
        now_us_ += 1'000'000'000 / traits_.rate_mHz;
        const double codes = std::ldexp(1.0, traits_.bits - 1) / traits_.full_scale_V_per_V;
        for (int channel = 0; channel < traits_.channels; ++channel) {
            const double noise_codes =
                noise > 0.0 ? noise * noise_.uniform(-0.5, 0.5) * std::sqrt(12.0) : 0.0;
            frame.code[static_cast<std::size_t>(channel)] =
                static_cast<std::int32_t>(std::lround(ratio / traits_.channels * codes + noise_codes));
        }
        frame.check = hal::check_of(frame, traits_.channels);
        return frame;
    }

    /// The frames in between never came.
    void lose(int frames) {
        sequence_ += static_cast<std::uint32_t>(frames);
        now_us_ += std::int64_t{frames} * 1'000'000'000 / traits_.rate_mHz;
    }

    std::int64_t now_us() const { return now_us_; }

  private:
    hal::ConverterTraits traits_;
    std::uint32_t sequence_ = 0;
    std::int64_t now_us_ = 1'000'000;
    tests::Draw noise_{1};
};

inline void seal(hal::Frame& frame, int channels) {
    frame.check = hal::check_of(frame, channels);
}

}  // namespace cornerbench::weighing_test
