#pragma once

#include <span>
#include <string>

#include "firmware/scale/description.h"
#include "sim/files/vehicle_file.h"

namespace cornerbench::commissioning {

/// What is assumed of traffic and weather (common practice, no source).
struct Traffic {
    double side_m = 0.3;         ///< a vehicle's middle strays so far from the deck's, either way
    double wind_m_per_s = 20.0;  ///< across the deck, on the vehicle's side
    double cold_C = -10.0;
    double hot_C = 40.0;
};

/// The heaviest and the lightest that any cell carries while vehicles drive over the deck, by the statics.
struct WorstCell {
    int support = 0;  ///< from 0
    double force_N = 0.0;
    double wind_N = 0.0;  ///< what a side wind on the vehicle adds at that cell
    std::string vehicle;
    double front_axle_m = 0.0;
    bool heads_right = true;
    double least_N = 0.0;  ///< of any cell anywhere on the way
    int least_support = 0;
    bool stands = true;  ///< false: somewhere nothing held the deck

    double total_N() const { return force_N + wind_N; }
};

/// Drives every vehicle over the deck in both directions, along its middle and `side_m` to either side, with
/// `times` its axle loads.
WorstCell drive_over(const scale::Description& description, std::span<const files::Vehicle> vehicles,
                     const Traffic& traffic, double times = 1.0);

/// The same with every vehicle's loads multiplied so that it weighs Max, or its heaviest axle 20 t if that is
/// less: no axle bears more.
WorstCell drive_over_at_max(const scale::Description& description, std::span<const files::Vehicle> vehicles,
                            const Traffic& traffic);

/// Heaviest cell with `mass_kg` spread over a pattern of `pattern_m` by `width_m` stood anywhere on the deck.
WorstCell stand_pattern(const scale::Description& description, double mass_kg, double pattern_m,
                        double width_m);

}  // namespace cornerbench::commissioning
