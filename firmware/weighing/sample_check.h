#pragma once

#include <array>
#include <cstdint>

#include "firmware/weighing/no_weight.h"
#include "hal/converter.h"

/// Whether a frame may have a part in a weight.
namespace cornerbench::weighing {

/// By what a frame is refused: codes that stand still, uneven times, ratios that no load gives.
struct SampleCheckSettings {
    /// A code that stays the same for this many frames is stuck; 0: a converter so quiet that it may.
    int stuck_frames = 0;
    /// Farthest a frame may lie from its time, over the time between two: the filter's nulls hold for even
    /// times only.
    double latest_share = 0.5;
    /// Least ratio, V/V, that a channel with one cell of its own can give: loads press, so below its zero
    /// balance a cell is mounted or wired the wrong way round, or broken. Not looked at with one channel.
    double least_V_per_V = -1.0;
};

/// Frames after which an unmoving code is no chance any more when the noise is `noise_codes` rms; 0 below one
/// code. At one code two neighbours are alike with a probability below 0.4, fifty in a row below 1e-19.
constexpr int stuck_frames_for(double noise_codes) {
    return noise_codes >= 1.0 ? 50 : 0;
}

/// What is wrong with a frame.
struct FrameVerdict {
    /// Frames that should have come before this one and did not. After so many that they no longer count,
    /// `SampleCheck::most_lost`.
    std::int64_t lost = 0;
    NoWeight why = NoWeight::none;  ///< the first reason that holds for any channel or the whole frame
    int channel = -1;               ///< the channel it holds for; -1: all of them
    std::uint32_t bad = 0;          ///< one bit per channel that may not be used
};

/// Watches the frames of one converter as they come. State is plain.
class SampleCheck {
  public:
    static constexpr std::int64_t most_lost = 100'000;

    SampleCheck() = default;
    SampleCheck(const hal::ConverterTraits& traits, const SampleCheckSettings& settings);

    /// The next frame, in the order in which they come.
    FrameVerdict judge(const hal::Frame& frame);

  private:
    NoWeight judge_channel(int channel, const hal::Frame& frame);

    hal::ConverterTraits traits_;
    SampleCheckSettings settings_;
    double period_us_ = 0.0;
    double least_code_ = 0.0;
    bool running_ = false;
    std::uint32_t sequence_ = 0;
    std::int64_t taken_us_ = 0;
    std::array<std::int32_t, hal::max_channels> code_{};
    std::array<std::int32_t, hal::max_channels> alike_{};  ///< frames with this code, up to the limit
};

}  // namespace cornerbench::weighing
