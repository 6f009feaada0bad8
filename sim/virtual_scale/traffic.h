#pragma once

#include <functional>
#include <string>
#include <vector>

#include "firmware/scale/causes.h"
#include "firmware/watch/traffic_watch.h"
#include "sim/field/random_source.h"
#include "sim/files/scale_file.h"
#include "sim/virtual_scale/virtual_scale.h"

/// Ordinary trucks over a virtual scale, no two alike, and what its box learns from them.
namespace cornerbench::virtual_scale {

/// How many trucks come, and what goes wrong meanwhile.
struct TrafficSetting {
    std::uint64_t seed = 1;
    int trucks = 300;
    /// These come when so many trucks have passed; 0: they are there from the first.
    std::vector<scale::Fault> faults;
    int sound_trucks = 150;
    /// From harmless to their full size, over so many trucks.
    int growing_trucks = 0;
    bool both_ways = false;  ///< every other truck or so comes on at the right
    std::function<void(double share)> progress;
};

/// What came of it, with what the box has learnt.
struct TrafficRecord {
    int trucks = 0;         ///< that drove over
    int unweighed = 0;      ///< that did not come to a stable weight
    double hours = 0.0;     ///< in the yard
    std::string no_weight;  ///< why the indicator shows no weight in the end; empty when it does
    watch::TrafficWatch traffic;
};

/// A truck of two to five axles that the scale can weigh, by the numbers of `random`.
files::Vehicle random_truck(const scale::Description& description, field::RandomSource& random);

/// Draws a specimen, calibrates it, lets the trucks pass. Same setting, same record.
TrafficRecord run_traffic(const scale::Description& description, const IndicatorSettings& settings,
                          const TrafficSetting& setting);

}  // namespace cornerbench::virtual_scale
