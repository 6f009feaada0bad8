#pragma once

#include <array>
#include <cstdint>

#include "hal/converter.h"
#include "hal/panel.h"
#include "hal/recorded/call.h"

namespace cornerbench::hal {

/// What the next call will probably be: the one that stood at this place in the step before.
///
/// Recording and replay both keep one and teach it the same calls, so that a recording needs no word for what
/// comes as expected. A step begins with `Clock::now`.
class Expectation {
  public:
    static constexpr std::size_t calls_in_step = 48;  ///< later ones of a step are always unexpected

    explicit Expectation(int channels = 1) : channels_(channels) {}

    /// The call expected now. Its payload is expected to be empty, or the picture the last one.
    Call next() const;

    /// This call has happened.
    void learn(const Call& call);

    /// Whether this frame follows the last one with the same distance in time, the same faults, no gap and a
    /// right check, so that only its codes are news.
    bool is_regular(const Frame& frame) const;
    void learn(const Frame& frame);

    std::uint64_t step() const { return step_; }  ///< counts `Clock::now`, from 1
    std::int64_t time_us() const { return time_us_; }
    int channels() const { return channels_; }
    const Frame& last_frame() const { return frame_; }
    std::int64_t frame_distance_us() const { return frame_distance_us_; }

    PanelPicture picture;  ///< shown last

  private:
    /// The calls of one step of the firmware, the first 48 of them.
    struct Step {
        std::array<Call, calls_in_step> call{};
        std::size_t count = 0;
    };

    int channels_;
    std::array<Step, 2> steps_{};
    std::size_t running_ = 0;  ///< index of the step under way; the other is the one before
    std::size_t place_ = 0;    ///< in the step before
    std::uint64_t step_ = 0;
    std::int64_t time_us_ = 0;
    std::int64_t step_us_ = 0;
    Frame frame_;
    std::int64_t frame_distance_us_ = 0;
};

}  // namespace cornerbench::hal
