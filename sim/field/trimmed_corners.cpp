#include "sim/field/trimmed_corners.h"

#include <algorithm>
#include <array>

#include "firmware/weighing/still_scale.h"
#include "sim/field/places.h"
#include "sim/field/test_load.h"

namespace cornerbench::field {

namespace {

/// A stiff deck shares a corner's load among its neighbours, so one round of trimming is far from enough.
constexpr int sweeps = 60;

/// Bridge ratios with the test weight over each support, and with the deck empty. Trims leave them alone.
struct CornerRatios {
    circuit::Ratios empty{};
    std::array<circuit::Ratios, scale::max_cells> loaded{};
};

CornerRatios corner_ratios(const scale::Description& description, const scale::Condition& condition,
                           double test_kg) {
    weighing::StillScale scale(description, condition);
    CornerRatios ratios;
    ratios.empty = scale.ratios();
    for (int i = 0; i < condition.cell_count; ++i) {
        const Place at = over_support(condition.deck, i);
        const std::array load{mechanics::PointLoad{at.x_m, at.y_m, test_kg * condition.gravity}};
        scale.put(load);
        ratios.loaded[static_cast<unsigned>(i)] = scale.ratios();
    }
    return ratios;
}

/// The box with one knob per corner, and what each corner's weight makes it put out.
class Bench {
  public:
    Bench(scale::Condition& condition, const CornerRatios& ratios)
        : condition_(condition), ratios_(ratios), box_(condition) {}

    double response(int corner) const {
        return box_.output(ratios_.loaded[static_cast<unsigned>(corner)]).ratio -
               box_.output(ratios_.empty).ratio;
    }

    void turn(int corner, double to) {
        knob(condition_, corner) = to;
        box_.replace(corner, condition_);
    }

    double response_at(int corner, double position) {
        const double before = knob(condition_, corner);
        turn(corner, position);
        const double there = response(corner);
        turn(corner, before);
        return there;
    }

  private:
    scale::Condition& condition_;
    const CornerRatios& ratios_;
    circuit::Box box_;
};

}  // namespace

bool can_trim(const scale::Description& d) {
    if (d.converter == scale::Converter::per_cell) return true;
    return d.trim.kind == scale::TrimKind::excitation_series ||
           (d.trim.kind == scale::TrimKind::signal_shunt && d.trim.mixing_ohm > 0.0);
}

KnobRange knob_range(const scale::Condition& condition) {
    if (condition.converter == scale::Converter::per_cell) return {0.8, 1.2};
    return {0.0, scale::trim_last_position(condition.trim)};
}

double& knob(scale::Condition& condition, int position) {
    scale::BoxPosition& place = condition.positions[static_cast<unsigned>(position)];
    return condition.converter == scale::Converter::per_cell ? place.digital_gain : place.trim_at;
}

double corner_spread_divisions(const scale::Description& d, const scale::Condition& condition) {
    const double kg = usual_corner_kg(d);
    weighing::StillScale still(d, condition);
    const weighing::ZeroAndSpan calibration = still.calibrate(0.5 * d.max_kg);
    double least = 0.0;
    double most = 0.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        const Place place = over_support(d.deck, i);
        const std::array load{mechanics::PointLoad{place.x_m, place.y_m, kg * d.gravity}};
        still.put(load);
        const double shown = still.read(calibration).weight_kg;
        least = i == 0 ? shown : std::min(least, shown);
        most = i == 0 ? shown : std::max(most, shown);
    }
    return (most - least) / d.division_kg;
}

void trim_corners_equal(const scale::Description& description, double test_kg, scale::Condition& condition) {
    if (!can_trim(description)) return;
    const CornerRatios ratios = corner_ratios(description, condition, test_kg);
    Bench bench(condition, ratios);
    const KnobRange range = knob_range(condition);
    const double step = 0.01 * (range.high - range.low);

    double target = 0.0;
    double reach_low = 0.0;
    double reach_high = 0.0;
    for (int i = 0; i < condition.cell_count; ++i) {
        const auto [low, high] =
            std::minmax({bench.response_at(i, range.low), bench.response_at(i, range.high)});
        reach_low = i == 0 ? low : std::max(reach_low, low);
        reach_high = i == 0 ? high : std::min(reach_high, high);
        target += bench.response(i) / condition.cell_count;
    }
    target = std::min(std::max(target, reach_low), reach_high);

    for (int sweep = 0; sweep < sweeps; ++sweep) {
        // A corner at its end stop sinks as its neighbours are turned down: all settle for what it still
        // reaches.
        for (int i = 0; sweep > 0 && i < condition.cell_count; ++i) {
            const double here = knob(condition, i);
            if (here == range.low || here == range.high) target = std::min(target, bench.response(i));
        }
        for (int i = 0; i < condition.cell_count; ++i) {
            const double here = knob(condition, i);
            const double there = here + step > range.high ? here - step : here + step;
            const double now = bench.response(i);
            const double slope = (bench.response_at(i, there) - now) / (there - here);
            if (slope == 0.0) continue;
            bench.turn(i, std::clamp(here + (target - now) / slope, range.low, range.high));
        }
    }
}

}  // namespace cornerbench::field
