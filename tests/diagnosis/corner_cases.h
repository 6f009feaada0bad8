#pragma once

#include <catch2/catch.hpp>
#include <functional>

#include "firmware/diagnosis/corner_check.h"
#include "tests/diagnosis/corner_rounds.h"

/// Rounds of corners written down by hand, on scales with round numbers.
namespace cornerbench::oracle {

inline constexpr double mass_kg = 10000.0;

/// 60 t by 20 kg: `sections` sections 6 m apart and 3 m wide on equal supports; corners trimmed equal.
inline diagnosis::CornerScale vehicle_scale(int sections, double twist_N_m_per_rad = 0.0) {
    diagnosis::CornerScale scale;
    scale.deck.sections = sections;
    for (int s = 0; s < sections; ++s) scale.deck.section_x_m[static_cast<unsigned>(s)] = 6.0 * s;
    scale.deck.width_m = 3.0;
    scale.deck.mass_kg = 60000.0;
    scale.deck.twist_stiffness_N_m_per_rad = twist_N_m_per_rad;
    scale.resolution_kg = 20.0;
    scale.repeatability_kg = 5.0;
    scale.placing_m = 0.058;
    scale.support_stiffness = 0.1;
    scale.structure_stiffness = twist_N_m_per_rad > 0.0 ? 0.2 : 0.0;
    scale.support_height_m = 3.0e-4;
    scale.gain.fill(6.0e-4);
    scale.span = 1.4e-4;
    scale.zero_kg = 10.0;
    scale.zero_return_kg = 6.0;
    return scale;
}

/// A round over every support, each showing `share` of the mass.
inline diagnosis::CornerReadings round_of(const diagnosis::CornerScale& scale,
                                          const std::function<double(int)>& share) {
    diagnosis::CornerReadings readings(scale.supports());
    REQUIRE(readings.add_empty(0.0) == diagnosis::CornerError::none);
    for (int i = 0; i < scale.supports(); ++i) {
        REQUIRE(readings.add_loaded(i, mass_kg, mass_kg * share(i)) == diagnosis::CornerError::none);
    }
    return readings;
}

inline diagnosis::CornerReport judge(const diagnosis::CornerScale& scale,
                                     const diagnosis::CornerReadings& readings,
                                     const diagnosis::ChannelReadings* channels = nullptr) {
    diagnosis::CornerCheck check;
    return check.judge(scale, readings, channels);
}

/// Rigid plate on four equal springs: what the corner `steps` round the deck from the load carries of it.
inline double rigid_share(int steps) {
    constexpr double shares[] = {0.75, 0.25, -0.25, 0.25};
    return shares[(steps + 4) % 4];
}

}  // namespace cornerbench::oracle
