#include "sim/training/over_time.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <span>

#include "firmware/weighing/still_scale.h"
#include "sim/field/places.h"
#include "sim/field/unmodelled.h"
#include "sim/world/world.h"

namespace cornerbench::training {

namespace {

constexpr double seconds_a_minute = 60.0;
/// Until a deck that was touched stands still.
constexpr double still_after_s = 5.0;
/// Of a day in a temperate yard; common practice, no source.
constexpr double day_swing_K = 10.0;
constexpr double morning_h = 8.0;
/// Nothing here moves within a second, so that fewer samples do.
constexpr double rate_Hz = 10.0;

bool says_nothing_of_time(const scale::Description& d) {
    const auto cells = std::span(d.cells).first(static_cast<std::size_t>(d.cell_count()));
    return std::all_of(cells.begin(), cells.end(), [](const scale::Cell& cell) {
        return cell.creep == 0.0 && cell.zero_per_K == 0.0 && cell.span_per_K == 0.0;
    });
}

class Yard {
  public:
    Yard(const scale::Description& d, const std::optional<faults::Scheduled>& scheduled)
        : description_(d),
          calibration_(weighing::sound_calibration(d)),
          world_(d, scale::sound_condition(d), 1, morning(d)) {
        if (scheduled) world_.inject(*scheduled);
        let_pass(still_after_s);
        calibration_.zero_ratio = world_.truth().output.ratio;
        begun_C_ = world_.truth().air_C;
    }

    MovedKg leave(double mass_kg, const field::Place& place) {
        if (mass_kg > 0.0) {
            world_.put({mass_kg, place.x_m, place.y_m, 1.0});
            let_pass(still_after_s);
        }
        const double begin_s = world_.time_s();
        const double first_kg = weight_kg();
        MovedKg moved{};
        for (std::size_t i = 0; i < moved.size(); ++i) {
            let_pass(begin_s + over_time_minutes[i] * seconds_a_minute - world_.time_s());
            moved[i] = weight_kg() - first_kg;
        }
        return moved;
    }

    double warmer_K() const { return world_.truth().air_C - begun_C_; }

  private:
    static world::Surroundings morning(const scale::Description& d) {
        world::Surroundings surroundings = world::calm(d);
        surroundings.day.swing_K = day_swing_K;
        surroundings.day.start_h = morning_h;
        surroundings.converter_noise = false;
        return surroundings;
    }

    void let_pass(double seconds) {
        const auto samples = static_cast<int>(std::lround(seconds * description_.rate_Hz));
        for (int i = 0; i < samples; ++i) world_.step();
    }

    double weight_kg() const {
        const world::Truth truth = world_.truth();
        const circuit::BoxOutput& out = truth.output;
        bool none = truth.deck != mechanics::DeckError::none || out.reference_missing;
        const double most = description_.full_scale_V_per_V;
        if (description_.converter == scale::Converter::per_cell) {
            for (const double channel : out.channel) none = none || std::fabs(channel) > most;
        } else {
            none = none || std::fabs(out.ratio) > most;
        }
        if (none) return std::numeric_limits<double>::quiet_NaN();
        return (out.ratio - calibration_.zero_ratio) * calibration_.kg_per_ratio;
    }

    scale::Description description_;
    weighing::ZeroAndSpan calibration_;
    world::World world_;
    double begun_C_ = 0.0;
};

}  // namespace

OverTime over_time(const scale::Description& description, const scale::Fault& fault, int support,
                   double mass_kg) {
    scale::Description d = description;
    d.rate_Hz = std::min(d.rate_Hz, rate_Hz);
    OverTime time;
    time.usual_cells = says_nothing_of_time(d);
    if (time.usual_cells) {
        for (scale::Cell& cell : d.cells) {
            cell.creep = field::rich_world.creep;
            cell.zero_per_K = field::rich_world.zero_per_K;
            cell.span_per_K = field::rich_world.span_per_K;
        }
    }
    const bool healthy = fault.cause == scale::Cause::healthy;
    time.comes = !healthy && scale::magnitudes_of(d, fault.cause, fault.site).count > 0;
    faults::Course growing;
    growing.grows_s = over_time_minutes.back() * seconds_a_minute;
    const field::Place place = field::over_support(d.deck, support);
    std::optional<faults::Scheduled> there;
    std::optional<faults::Scheduled> coming;
    if (!healthy) there = faults::Scheduled{fault, {}};
    if (time.comes) coming = faults::Scheduled{fault, growing};
    for (const bool loaded : {false, true}) {
        LeftStanding& left = loaded ? time.loaded : time.empty;
        const double kg = loaded ? mass_kg : 0.0;
        Yard sound(d, std::nullopt);
        left.sound = sound.leave(kg, place);
        time.warmer_K = sound.warmer_K();
        left.with = there ? Yard(d, there).leave(kg, place) : left.sound;
        left.coming = coming ? Yard(d, coming).leave(kg, place) : left.with;
    }
    return time;
}

}  // namespace cornerbench::training
