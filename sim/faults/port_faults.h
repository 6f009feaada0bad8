#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <map>
#include <span>
#include <vector>

#include "hal/converter.h"
#include "sim/field/random_source.h"

namespace cornerbench::faults {

/// What can go wrong between a converter and the firmware.
enum class PortFaultKind : unsigned char {
    // In the part, which makes its check afterwards.
    saturated,          ///< the code stands at the end of the range, and says so
    reference_missing,  ///< no excitation came back, and the part says so
    transfer_failed,    ///< the bus to the part fails: the old code, and a flag
    not_new,            ///< the part had nothing newer: the old code, and a flag
    stuck,              ///< the old code, and nobody says so
    // On the way: the check was made before.
    channels_exchanged,  ///< two channels' codes in each other's place
    bit_flipped,         ///< one bit of the code
    // Whole frames.
    frames_lost,  ///< the frame does not come; the sequence has a gap
    repeated,     ///< the frame comes twice
    late          ///< the frame comes with the next one that is not late, in its place
};

/// One fault of a port and when it works. Times are those of the frames' stamps.
struct PortFault {
    PortFaultKind kind = PortFaultKind::frames_lost;
    int channel = -1;  ///< -1: every channel (bit_flipped and channels_exchanged: the first)
    int other = 1;     ///< the second one of channels_exchanged
    int bit = -1;      ///< of bit_flipped; -1: another one each time
    hal::Microseconds begins_us = 0;
    hal::Microseconds ends_us = std::numeric_limits<hal::Microseconds>::max();
    double share = 1.0;  ///< of the frames in that time that it hits, at random
};

/// Lays faults over clean frames. The frames that go in stay what they were.
class PortFaults {
  public:
    static constexpr std::size_t most_late = 400;

    PortFaults(const hal::ConverterTraits& traits, std::uint64_t seed) : traits_(traits), seed_(seed) {}

    /// A number by which it is spoken of later.
    int add(const PortFault& fault);
    /// False for a number that is not there.
    bool mend(int number);
    bool empty() const { return faults_.empty(); }
    /// The part is off: frames that were late never come.
    void cut_power() { late_.clear(); }

    /// What comes of `frame`: none, it, it twice, or late ones before it; valid until the next call. Frames
    /// go in once each, in their order. Of late ones the oldest are lost beyond `most_late`.
    std::span<const hal::Frame> pass(const hal::Frame& frame);

  private:
    /// A fault that is there, with the numbers it is drawn by.
    struct Running {
        PortFault fault;
        field::RandomSource random;
        bool hit = false;  ///< this frame
    };

    void in_the_part(const Running& running, hal::Frame& frame) const;
    void on_the_way(Running& running, hal::Frame& frame) const;

    hal::ConverterTraits traits_;
    std::uint64_t seed_ = 0;
    int last_number_ = 0;
    std::map<int, Running> faults_;
    std::array<std::int32_t, hal::max_channels> last_code_{};
    std::vector<hal::Frame> late_;
    std::vector<hal::Frame> out_;
};

}  // namespace cornerbench::faults
