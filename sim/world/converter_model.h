#pragma once

#include <cstdint>

#include "firmware/circuit/box.h"
#include "firmware/scale/description.h"
#include "hal/converter.h"
#include "sim/world/normal_source.h"
#include "sim/world/surroundings.h"

namespace cornerbench::world {

/// What the firmware is told of this scale's converter.
hal::ConverterTraits converter_traits(const scale::Description& description);

/// From the circuit's ratio to codes: mains pick-up and white noise at the input, rounding, saturation, and
/// the flags and the check that the part itself adds. Every frame that is due comes, in order and in time;
/// what can go wrong on the way is faults::PortFaults.
class ConverterModel {
  public:
    ConverterModel(const scale::Description& description, const Surroundings& surroundings,
                   std::uint64_t seed);

    /// Other mains from now on; noise can be switched off and not on again.
    void change(const Surroundings& surroundings);

    /// The next conversion.
    const hal::Frame& convert(const circuit::BoxOutput& input);

    const hal::ConverterTraits& traits() const { return traits_; }
    /// Time of the frame that `convert` made last.
    hal::Microseconds now_us() const { return frame_.taken_us; }

  private:
    void convert_channel(int channel, double ratio, double disturbance_V, const circuit::BoxOutput& input);
    double pick_up_V();

    hal::ConverterTraits traits_;
    double codes_per_ratio_ = 0.0;
    double last_code_ = 0.0;  ///< highest
    double noise_V_ = 0.0;
    Mains mains_;
    double mains_turn_ = 0.0;  ///< phase, in turns
    double mains_step_ = 0.0;  ///< turns from one sample to the next
    std::int64_t count_ = 0;
    NormalSource noise_;
    hal::Frame frame_;
};

}  // namespace cornerbench::world
