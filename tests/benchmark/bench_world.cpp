#include <cstdio>
#include <vector>

#include "tests/benchmark/benchmarks.h"
#include "tests/benchmark/busy_yard.h"
#include "tests/benchmark/timing.h"

using namespace cornerbench;

namespace {

class Yard {
  public:
    Yard(const scale::Description& d, const world::Surroundings& s, bool trucks)
        : yard_(d, scale::sound_condition(d), 1, s), with_trucks_(trucks) {}

    void second() {
        if (with_trucks_) trucks_.second(yard_);
        for (int n = 0; n < 100; ++n) benchmark::keep(yard_.step().code[0]);
    }

  private:
    world::World yard_;
    bool with_trucks_ = false;
    benchmark::Trucks trucks_;
};

}  // namespace

void benchmark::yard() {
    const scale::Description plain = oracle::trimmed_scale(8);
    const scale::Description full = measured_scale(scale::Converter::summed);
    const scale::Description channels = measured_scale(scale::Converter::per_cell);
    Yard empty(plain, world::calm(plain), false);
    Yard trucks(plain, world::calm(plain), true);
    Yard all(full, weather(full), true);
    Yard per_cell(channels, weather(channels), true);
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
