#pragma once

#include "tests/world/yard.h"

/// The yard that is measured: eight cells at 100 Hz, a truck every 90 seconds.
namespace cornerbench::benchmark {

/// With creep, hysteresis and cells that feel the temperature.
inline scale::Description measured_scale(scale::Converter converter) {
    scale::Description d = oracle::trimmed_scale(8);
    d.converter = converter;
    for (scale::Cell& cell : d.cells) {
        cell.creep = cell.hysteresis = 2.0e-4;
        cell.zero_per_K = cell.span_per_K = 1.0e-5;
    }
    return d;
}

inline world::Surroundings weather(const scale::Description& d) {
    world::Surroundings s = world::calm(d);
    s.wind.speed_m_per_s = 5.0;
    s.day.swing_K = 8.0;
    s.day.cloud_K = 1.0;
    return s;
}

class Trucks {
  public:
    /// To be called once for each second of the yard's.
    void second(world::World& yard) {
        if (seconds_ % 90 == 0) {
            world::Approach approach;
            approach.stop_front_at_m = 12.0;
            truck_ = yard.drive_on(tests::tipper(), approach);
        }
        if (seconds_ % 90 == 60) yard.drive_off(truck_);
        ++seconds_;
    }

  private:
    int truck_ = 0;
    long seconds_ = 0;
};

}  // namespace cornerbench::benchmark
