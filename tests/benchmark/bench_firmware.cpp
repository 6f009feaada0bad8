#include <cmath>
#include <cstdio>
#include <vector>

#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/virtual_scale.h"
#include "tests/benchmark/benchmarks.h"
#include "tests/benchmark/busy_yard.h"
#include "tests/benchmark/timing.h"

using namespace cornerbench;

namespace {

/// The yard with the whole firmware behind its converter, calibrated, and the same yard without it.
class Pair {
  public:
    explicit Pair(scale::Converter converter)
        : description_(benchmark::measured_scale(converter)),
          with_(description_, scale::sound_condition(description_),
                virtual_scale::indicator_settings(description_, weighing::oiml_r76_rules()), 1,
                benchmark::weather(description_)),
          without_(description_, scale::sound_condition(description_), 1, benchmark::weather(description_)) {
        calibrated_ = with_.calibrate(0.5 * description_.max_kg);
        while (without_.time_s() < with_.time_s()) without_.step();
    }

    bool calibrated() const { return calibrated_; }

    /// Of the firmware, so far.
    long steps() const { return std::lround(description_.rate_Hz * with_.time_s()); }

    void second_with() {
        trucks_with_.second(with_.world());
        for (int n = 0; n < 100; ++n) with_.frame();
    }

    void second_without() {
        trucks_without_.second(without_);
        for (int n = 0; n < 100; ++n) benchmark::keep(without_.step().code[0]);
    }

  private:
    scale::Description description_;
    virtual_scale::VirtualScale with_;
    world::World without_;
    benchmark::Trucks trucks_with_;
    benchmark::Trucks trucks_without_;
    bool calibrated_ = false;
};

void measure(const char* name, scale::Converter converter) {
    Pair pair(converter);
    const std::vector<double> taken = benchmark::medians(
        15, 0.05, [&] { pair.second_with(); }, [&] { pair.second_without(); });
    const double firmware = 100.0 * (taken[0] - taken[1]) / taken[0];
    std::printf("  %-16s %8.3f us a frame  %8.0f simulated s/s  firmware %2.0f %% of the time%s\n", name,
                1.0e4 * taken[0], 1.0 / taken[0], firmware,
                pair.calibrated() ? "" : "  NOT CALIBRATED: this says nothing");
}

}  // namespace

void benchmark::firmware() {
    std::printf(
        "\nwhole firmware in the yard: 8 cells at 100 Hz, trucks, wind, day, creep; medians of 15; the\n"
        "firmware's part against the same yard without it, measured in turn\n");
    measure("summed box", scale::Converter::summed);
    measure("channel per cell", scale::Converter::per_cell);
}

int benchmark::firmware_steps(bool channel_per_cell) {
    Pair pair(channel_per_cell ? scale::Converter::per_cell : scale::Converter::summed);
    for (int i = 0; i < 100; ++i) pair.second_with();
    std::printf("%ld steps\n", pair.steps());
    return pair.calibrated() ? 0 : 1;
}
