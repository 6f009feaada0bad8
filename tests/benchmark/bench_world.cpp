#include <cstdio>
#include <vector>

#include "tests/benchmark/benchmarks.h"
#include "tests/benchmark/timing.h"
#include "tests/world/yard.h"

using namespace cornerbench;
using namespace cornerbench::tests;

namespace {

/// A truck every 90 seconds over one world.
class BusyYard {
  public:
    BusyYard(const scale::Description& d, const world::Surroundings& s, bool trucks)
        : yard_(d, scale::sound_condition(d), 1, s), trucks_(trucks) {}

    void second() {
        if (trucks_ && seconds_ % 90 == 0) {
            world::Approach approach;
            approach.stop_front_at_m = 12.0;
            truck_ = yard_.drive_on(tipper(), approach);
        }
        if (trucks_ && seconds_ % 90 == 60) yard_.drive_off(truck_);
        ++seconds_;
        for (int n = 0; n < 100; ++n) benchmark::keep(yard_.step().code[0]);
    }

  private:
    world::World yard_;
    bool trucks_ = false;
    int truck_ = 0;
    long seconds_ = 0;
};

}  // namespace

void benchmark::yard() {
    scale::Description plain = oracle::trimmed_scale(8);
    scale::Description full = plain;
    for (scale::Cell& cell : full.cells) {
        cell.creep = cell.hysteresis = 2.0e-4;
        cell.zero_per_K = cell.span_per_K = 1.0e-5;
    }
    world::Surroundings weather = world::calm(full);
    weather.wind.speed_m_per_s = 5.0;
    weather.day.swing_K = 8.0;
    weather.day.cloud_K = 1.0;
    scale::Description channels = full;
    channels.converter = scale::Converter::per_cell;

    BusyYard empty(plain, world::calm(plain), false);
    BusyYard trucks(plain, world::calm(plain), true);
    BusyYard all(full, weather, true);
    BusyYard per_cell(channels, weather, true);
    const std::vector<double> taken = medians(
        15, 0.05, [&] { empty.second(); }, [&] { trucks.second(); }, [&] { all.second(); },
        [&] { per_cell.second(); });
    std::printf("\nyard: 8 cells at 100 Hz, without the firmware; a truck every 90 s where one is named\n");
    const char* names[] = {"empty and calm", "trucks", "trucks, wind, day, creep",
                           "the same, channel per cell"};
    for (std::size_t i = 0; i < taken.size(); ++i) {
        std::printf("  %-26s %8.3f us a sample  %10.0f samples/s  %8.0f simulated s/s\n", names[i],
                    1.0e4 * taken[i], 100.0 / taken[i], 1.0 / taken[i]);
    }
}
