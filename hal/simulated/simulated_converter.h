#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "hal/converter.h"
#include "hal/simulated/bounded_queue.h"

namespace cornerbench::hal {

/// A converter whose samples a simulated world decides.
///
/// What the part does by itself is done here: counting frames, saturating at its range, the frame's check,
/// the old code of a channel that is not selected, the missing reference while the excitation is off, and the
/// loss of the oldest frames when nobody takes them.
class SimulatedConverter final : public Converter {
  public:
    static constexpr std::size_t capacity = 256;

    /// Channels beyond `max_channels` and bits outside 2 to 32 are brought into range.
    explicit SimulatedConverter(const ConverterTraits& traits);

    ConverterTraits traits() const override { return traits_; }
    Answer select(Excitation excitation, std::uint32_t channels) override;
    Answer take(Microseconds now, std::span<Frame> frames, std::size_t& count) override;

    /// One conversion ended at `taken_us`. `codes` may lie beyond the part's range; `faults` are SampleFault
    /// bits that the world adds. Missing entries are 0. A code whose transfer failed or that is not new is
    /// replaced by the channel's last one.
    void push(Microseconds taken_us, std::span<const std::int32_t> codes,
              std::span<const std::uint8_t> faults = {});

    /// A frame as somebody else made it, with its own sequence and check: for faults on the way.
    void push_as_is(const Frame& frame);

    /// A frame was due and came to nothing: the sequence has a gap.
    void skip() { ++sequence_; }

    /// What `select` and `take` answer until told otherwise; while it is not `done` they do nothing.
    void set_answer(Answer answer) { answer_ = answer; }

    Excitation excitation() const { return excitation_; }
    std::uint32_t channels() const { return channels_; }
    std::size_t waiting() const { return frames_.size(); }

    /// As after power-on: nothing waits, forward excitation, every channel.
    void start();

  private:
    std::uint32_t every_channel() const {
        return static_cast<std::uint32_t>((std::uint64_t{1} << static_cast<unsigned>(traits_.channels)) - 1u);
    }

    ConverterTraits traits_;
    BoundedQueue<Frame, capacity> frames_;
    std::array<std::int32_t, max_channels> last_code_{};
    std::uint32_t sequence_ = 0;
    Excitation excitation_ = Excitation::forward;
    std::uint32_t channels_ = 0;
    Answer answer_ = Answer::done;
};

}  // namespace cornerbench::hal
