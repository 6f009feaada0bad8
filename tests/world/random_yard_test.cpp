#include <catch2/catch.hpp>

#include <cmath>
#include <vector>

#include "tests/world/random_fault.h"
#include "tests/world/yard.h"

using namespace cornerbench;
using namespace cornerbench::tests;

namespace {

files::Vehicle random_vehicle(Draw& draw, const scale::Description& d) {
    files::Vehicle vehicle{"", "drawn", {}};
    double behind_m = 0.0;
    for (int axle = draw.integer(2, 5); axle > 0; --axle) {
        vehicle.axles.push_back({d.max_kg * draw.uniform(0.02, 0.15), behind_m});
        behind_m += draw.uniform(1.2, 4.0);
    }
    return vehicle;
}

/// An hour's worth of events in two minutes.
class RandomYard {
  public:
    explicit RandomYard(std::uint64_t seed, bool with_faults) : draw_(seed), with_faults_(with_faults) {
        d_ = random_description(draw_, static_cast<Adjusting>(draw_.integer(0, adjusting_count - 1)));
        turn_trims_at_random(draw_, 0.1, 0.9, d_);
        d_.rate_Hz = draw_.one_of({20.0, 100.0, 400.0});
        first_ = d_.deck.section_x_m[0];
        last_ = d_.deck.section_x_m[static_cast<unsigned>(d_.deck.sections - 1)];
    }

    const scale::Description& description() const { return d_; }
    scale::Condition condition() { return random_sample(draw_, d_); }

    world::Surroundings surroundings() {
        world::Surroundings s = world::calm(d_);
        if (draw_.chance(0.5)) s.wind.speed_m_per_s = draw_.uniform(1.0, 15.0);
        if (draw_.chance(0.5)) s.day.swing_K = draw_.uniform(1.0, 10.0);
        if (draw_.chance(0.5)) s.mains.amplitude_V = draw_.log_uniform(1.0e-7, 1.0e-4);
        return s;
    }

    void event(world::World& yard) {
        switch (draw_.integer(0, with_faults_ ? 7 : 4)) {
            case 0: {
                world::Approach approach;
                approach.from = draw_.chance(0.5) ? world::End::left : world::End::right;
                approach.speed_m_per_s = draw_.uniform(0.5, 5.0);
                if (draw_.chance(0.8)) approach.stop_front_at_m = draw_.uniform(first_, last_);
                vehicles_.push_back(yard.drive_on(random_vehicle(draw_, d_), approach));
                break;
            }
            case 1:
            case 2:
                if (!vehicles_.empty()) {
                    yard.drive_off(draw_.one_of({vehicles_.front(), vehicles_.back()}),
                                   {draw_.chance(0.3), draw_.uniform(0.5, 4.0), draw_.uniform(0.2, 2.0)});
                }
                break;
            case 3:
                weights_.push_back(
                    yard.put({d_.max_kg * draw_.uniform(0.001, 0.2), draw_.uniform(first_, last_),
                              draw_.uniform(0.0, d_.deck.width_m), draw_.one_of({0.0, 0.5, 3.0})}));
                break;
            case 4:
                if (!weights_.empty()) yard.take_off(draw_.one_of({weights_.front(), weights_.back()}));
                break;
            case 7:
                if (!faults_.empty()) yard.mend(draw_.one_of({faults_.front(), faults_.back()}));
                break;
            default: {
                const auto cause = static_cast<scale::Cause>(draw_.integer(0, scale::cause_count - 1));
                if (!scale::possible(d_, cause)) break;
                faults::Scheduled scheduled{random_fault(draw_, d_, cause), {}};
                if (draw_.chance(0.3)) scheduled.course.grows_s = draw_.uniform(1.0, 60.0);
                if (draw_.chance(0.3)) scheduled.course.wander = draw_.uniform(0.1, 10.0);
                if (draw_.chance(0.3))
                    scheduled.course.on_s = scheduled.course.off_s = draw_.uniform(0.05, 5.0);
                faults_.push_back(yard.inject(scheduled));
            }
        }
    }

    void clear(world::World& yard) {
        for (const int fault : faults_) yard.mend(fault);
        for (const int weight : weights_) yard.take_off(weight);
        for (const int vehicle : vehicles_) yard.drive_off(vehicle);
        world::Surroundings calmed = still(d_);
        calmed.day.cell_lag_s = calmed.day.cable_lag_s = 1.0;
        yard.change(calmed);
        pass(yard, 300.0);
    }

    double seconds_to_next() { return draw_.uniform(0.1, 6.0); }

  private:
    Draw draw_;
    bool with_faults_ = false;
    scale::Description d_;
    double first_ = 0.0;
    double last_ = 0.0;
    std::vector<int> vehicles_;
    std::vector<int> weights_;
    std::vector<int> faults_;
};

void require_sound_frame(const hal::Frame& frame, const hal::ConverterTraits& traits,
                         std::uint32_t sequence) {
    REQUIRE(frame.sequence == sequence);
    REQUIRE(hal::check_of(frame, traits.channels) == frame.check);
    const std::int64_t end = std::int64_t{1} << (traits.bits - 1);
    for (int c = 0; c < traits.channels; ++c) {
        REQUIRE(frame.code[static_cast<unsigned>(c)] < end);
        REQUIRE(frame.code[static_cast<unsigned>(c)] >= -end);
    }
}

}  // namespace

TEST_CASE("whatever stands, drives and blows, the supports carry it", "[world]") {
    // Newton's third law, at every sample; without contacts nothing else carries.
    for (std::uint64_t seed = 0; seed < 25; ++seed) {
        INFO("seed " << seed);
        RandomYard random(seed + 300, false);
        const scale::Description& d = random.description();
        const scale::Condition c = random.condition();
        if (world::DeckInTime(c).error() != mechanics::DeckError::none) continue;
        world::World yard(d, c, seed, random.surroundings());
        std::uint32_t sequence = 0;
        while (yard.time_s() < 120.0) {
            random.event(yard);
            const double until = yard.time_s() + random.seconds_to_next();
            while (yard.time_s() < until) {
                require_sound_frame(yard.step(), yard.traits(), sequence++);
                const world::Truth truth = yard.truth();
                if (truth.deck != mechanics::DeckError::none) continue;
                double sum_N = 0.0;
                for (const double force_N : truth.support_N) sum_N += force_N;
                const double loads_N = (d.deck.mass_kg + truth.pressed_kg) * d.gravity;
                REQUIRE(sum_N == Approx(loads_N).epsilon(1.0e-9));
                REQUIRE(truth.mass_on_deck_kg >= 0.0);
            }
        }
    }
}

TEST_CASE("after any history of faults and loads, a mended empty scale is what it was", "[world]") {
    for (std::uint64_t seed = 0; seed < 40; ++seed) {
        INFO("seed " << seed);
        RandomYard random(seed + 900, true);
        const scale::Description& d = random.description();
        const scale::Condition c = random.condition();
        if (world::DeckInTime(c).error() != mechanics::DeckError::none) continue;
        world::World yard(d, c, seed, random.surroundings());
        const circuit::BoxOutput before =
            circuit::Box(c).output(world::CellsInTime(c, yard.truth().cell_N, 0.01).ratios());
        std::uint32_t sequence = 0;
        while (yard.time_s() < 60.0) {
            random.event(yard);
            const double until = yard.time_s() + random.seconds_to_next();
            while (yard.time_s() < until) require_sound_frame(yard.step(), yard.traits(), sequence++);
        }
        random.clear(yard);
        REQUIRE(yard.empty());
        REQUIRE(yard.truth().pressed_kg == 0.0);
        const double one = d.division_kg * d.cells[0].rated_output_V_per_V / d.cells[0].capacity_kg;
        const bool per_cell = d.converter == scale::Converter::per_cell;
        for (int i = 0; per_cell && i < d.cell_count(); ++i) {
            const auto at = static_cast<unsigned>(i);
            CHECK(std::fabs(yard.truth().output.channel[at] - before.channel[at]) < 5.0e-3 * one);
        }
        if (!per_cell)
            CHECK(std::fabs(yard.truth().output.ratio - before.ratio) < 5.0e-3 * one / d.cell_count());
    }
}
