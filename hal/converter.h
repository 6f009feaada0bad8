#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "hal/answer.h"

namespace cornerbench::hal {

inline constexpr int max_channels = 16;

/// What a converter does not say of itself by samples. Fixed from power-on.
struct ConverterTraits {
    int channels = 1;                 ///< 1 on a summed bus, else one per cell
    int bits = 24;                    ///< codes lie within -2^(bits-1) and 2^(bits-1) - 1
    std::int64_t rate_mHz = 100'000;  ///< frames in a thousand seconds
    double full_scale_V_per_V = 0.0;  ///< (S+ - S-) / (sense+ - sense-) at the code 2^(bits-1)

    friend bool operator==(const ConverterTraits&, const ConverterTraits&) = default;
};

/// What is wrong with one channel's sample; 0 is a good one. Bits, since several can hold.
enum SampleFault : std::uint8_t {
    sample_good = 0,
    sample_over_range = 1,         ///< saturated, either way: the true value is farther out
    sample_reference_missing = 2,  ///< no excitation came back on the sense wires
    sample_bus_error = 4,          ///< the transfer from the part failed; the code means nothing
    sample_not_new = 8             ///< the part had nothing newer: the code is an old one
};

/// One sample of every channel, taken at one time.
struct Frame {
    std::uint32_t sequence = 0;  ///< counts every frame that was due, sent or lost; wraps around
    Microseconds taken_us = 0;   ///< end of the conversion, by the board's clock
    std::array<std::int32_t, max_channels> code{};
    std::array<std::uint8_t, max_channels> fault{};  ///< SampleFault bits
    std::uint32_t check = 0;                         ///< `check_of` this frame, made where it was converted

    friend bool operator==(const Frame&, const Frame&) = default;
};

/// Sum, modulo 2^32, over the frame's sequence and every channel's code and fault, each weighted by its place
/// so that exchanged channels show. The part that converts makes it; whoever weighs makes it again.
constexpr std::uint32_t check_of(const Frame& frame, int channels) {
    std::uint32_t sum = frame.sequence * 2654435761u;
    for (int channel = 0; channel < channels; ++channel) {
        const auto i = static_cast<std::size_t>(channel);
        const std::uint32_t place = 2u * static_cast<std::uint32_t>(channel) + 3u;
        sum += place * static_cast<std::uint32_t>(frame.code[i]);
        sum += (place << 16u) * frame.fault[i];
    }
    return sum;
}

/// How the bridges are fed: not at all, plus on E+, or plus on E-.
enum class Excitation : std::uint8_t { off, forward, reversed };

/// The ratiometric converter, one or several channels, with the switches in front of it.
///
/// Promised: from power-on the excitation is forward and every channel is chosen; frames come out once,
/// oldest first, none stamped later than the `now` it is taken at; the codes are ratios to the reference, so
/// a low excitation alone does not change them; a frame whose part could not convert comes all the same, with
/// its fault. Not promised: that no frame is lost (the sequence tells), that frames come at even times (the
/// stamps tell), that a frame taken within a settling time after `select` belongs to the new selection.
class Converter {
  public:
    virtual ConverterTraits traits() const = 0;

    /// Chooses the excitation's polarity and the channels to convert, one bit each. `bad_argument`: a bit
    /// beyond the channels; nothing changed. Frames go on; channels not chosen are `sample_not_new`.
    virtual Answer select(Excitation excitation, std::uint32_t channels) = 0;

    /// Frames converted up to `now` and not yet taken, oldest first, as many as fit into `frames`; `count` is
    /// how many, 0 is no error. When a board had to drop frames, the sequence has the gap.
    virtual Answer take(Microseconds now, std::span<Frame> frames, std::size_t& count) = 0;

  protected:
    ~Converter() = default;
};

}  // namespace cornerbench::hal
