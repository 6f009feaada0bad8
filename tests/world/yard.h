#pragma once

#include <vector>

#include "firmware/weighing/still_scale.h"
#include "sim/world/world.h"
#include "tests/diagnosis/bench_scales.h"

/// Vehicles and measures that the world's tests share.
namespace cornerbench::tests {

inline files::Vehicle tipper() {
    return {"", "tipper", {{7200.0, 0.0}, {9300.0, 3.9}, {9100.0, 5.25}}};
}

/// Nothing but the scale: no noise, no bounce, the temperature of the description.
inline world::Surroundings still(const scale::Description& d) {
    world::Surroundings s = world::calm(d);
    s.converter_noise = false;
    return s;
}

inline world::Approach rolling_to(double stop_front_at_m, world::End from = world::End::left) {
    world::Approach approach;
    approach.from = from;
    approach.stop_front_at_m = stop_front_at_m;
    approach.suspension = world::Suspension::rigid();
    return approach;
}

inline void pass(world::World& yard, double seconds) {
    const double until = yard.time_s() + seconds;
    while (yard.time_s() < until) yard.step();
}

/// The ratio that a frame's code stands for.
inline double ratio_of(const hal::Frame& frame, const hal::ConverterTraits& traits, int channel = 0) {
    return frame.code[static_cast<unsigned>(channel)] * traits.full_scale_V_per_V /
           static_cast<double>(std::int64_t{1} << (traits.bits - 1));
}

/// Change of the converter's ratio per division of a sound scale.
inline double ratio_per_division(const scale::Description& d) {
    return d.division_kg / weighing::sound_calibration(d).kg_per_ratio;
}

/// Weight in kg of what stands on the deck now, from the circuit's output before noise.
inline double weight_kg(const world::World& yard, const weighing::ZeroAndSpan& set) {
    return (yard.truth().output.ratio - set.zero_ratio) * set.kg_per_ratio;
}

}  // namespace cornerbench::tests
