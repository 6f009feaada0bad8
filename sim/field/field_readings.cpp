#include "sim/field/field_readings.h"

#include <array>
#include <cmath>
#include <limits>

#include "firmware/circuit/lifted_cell.h"
#include "firmware/numbers/sine.h"
#include "firmware/weighing/division.h"
#include "firmware/weighing/range.h"

namespace cornerbench::field {

using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;
using scale::Wire;

namespace {

constexpr std::uint64_t instrument_stream = 3;
constexpr std::uint64_t surroundings_stream = 9;
constexpr double round_of_weights = 10.0;
/// Most set a weight down evenly about its place, a few far worse; in standard deviations of the placing.
constexpr double even_half_width = 1.6;
constexpr double careless_spread = 2.5;
/// How much of half an hour's creep shows when a weight is read.
constexpr double least_crept = 0.1;
constexpr double most_crept = 0.4;
constexpr double two_pi = 6.283185307179586;

/// Ends of the ranges of a hand-held ohmmeter and of an insulation tester.
constexpr double ohmmeter_end_ohm = 4.0e7;
constexpr double insulation_end_ohm = 2.0e10;
/// Probes and their leads.
constexpr double ohmmeter_contact_ohm = 0.1;

/// Resolutions of common instruments.
constexpr double ohmmeter_step_ohm = 0.1;
constexpr double millivoltmeter_step_V = 1.0e-6;
constexpr double voltmeter_step_V = 1.0e-3;
constexpr double channel_step_V_per_V = 1.0e-7;
constexpr int meter_figures = 4;
constexpr int insulation_figures = 2;

/// Of a channel's value, standard deviation.
constexpr double channel_noise_V_per_V = 5.0e-8;

double step_for_figures(double value, int figures) {
    double step = 1.0;
    const double size = std::fabs(value);
    if (size == 0.0) return step;
    double lead = 1.0;
    while (lead * 10.0 <= size) lead *= 10.0;
    while (lead > size) lead /= 10.0;
    step = lead;
    for (int i = 1; i < figures; ++i) step /= 10.0;
    return step;
}

}  // namespace

FieldReadings::FieldReadings(const scale::Description& description, const scale::Condition& truth,
                             const weighing::ZeroAndSpan& calibration,
                             const diagnosis::Instruments& instruments, bool noisy, std::uint64_t seed,
                             const Unmodelled& unmodelled)
    : description_(description),
      instruments_(instruments),
      noisy_(noisy),
      misplaced_(noisy),
      random_(seed, instrument_stream),
      unmodelled_(unmodelled),
      surroundings_(seed, surroundings_stream),
      scale_(description, truth),
      calibration_(calibration) {
    weights_error_ = noise(instruments_.test_weights);
    drift_divisions_ = unmodelled_.drift_divisions * surroundings_.normal();
    ohmmeter_ = surroundings_.normal();
    insulation_tester_ = surroundings_.normal();
    voltmeter_ = surroundings_.normal();
    millivoltmeter_gain_ = unmodelled_.millivoltmeter_gain * surroundings_.normal();
}

double FieldReadings::misplaced_m() {
    if (misplaced_ && !noisy_) return instruments_.placing_m * random_.normal();
    if (!noisy_ || !(unmodelled_.careless > 0.0)) return noise(instruments_.placing_m);
    const bool careless = surroundings_.share() < unmodelled_.careless;
    return instruments_.placing_m * (careless ? careless_spread * surroundings_.normal()
                                              : surroundings_.between(-even_half_width, even_half_width));
}

double FieldReadings::unsteady_kg(double division_kg) {
    if (!noisy_) return 0.0;
    const double hum = unmodelled_.hum_divisions * numbers::sin(two_pi * surroundings_.share());
    return division_kg * (hum + drift_divisions_ * weights_put_ / round_of_weights);
}

double FieldReadings::instrument_error(double uncertainty, double same) {
    if (!noisy_) return 0.0;
    const double share = unmodelled_.same_error;
    return uncertainty * share * same + noise(uncertainty * std::sqrt(1.0 - share * share));
}

FieldReadings::FieldReadings(const scale::Description& description, const scale::Condition& truth,
                             const weighing::ZeroAndSpan& calibration,
                             const diagnosis::Instruments& instruments, RandomSource placed)
    : description_(description),
      instruments_(instruments),
      noisy_(false),
      misplaced_(true),
      random_(placed),
      surroundings_(0, surroundings_stream),
      scale_(description, truth),
      calibration_(calibration) {
    weights_error_ = instruments_.test_weights * random_.normal();
}

double FieldReadings::shown_to(double value, double step) const {
    return noisy_ ? std::round(value / step) * step : value;
}

const scale::CellCondition& FieldReadings::landed_cell(int position) const {
    const scale::Condition& c = scale_.condition();
    return c.cells[static_cast<unsigned>(c.positions[static_cast<unsigned>(position)].cell)];
}

void FieldReadings::unload() {
    intended_ = {};
    scale_.remember(0.0, 0.0);
    scale_.put({});
}

void FieldReadings::load(double mass_kg, Place place) {
    intended_ = {};
    intended_.standing[0] = {mass_kg, place.x_m, place.y_m};
    intended_.count = 1;
    const double x_m = place.x_m + misplaced_m();
    const double y_m = place.y_m + misplaced_m();
    ++weights_put_;
    scale_.remember(0.0, creeps() ? surroundings_.between(least_crept, most_crept) : 0.0);
    standing_ = {x_m, y_m, mass_kg * (1.0 + weights_error_) * scale_.condition().gravity};
    const std::array real{standing_};
    scale_.put(real);
}

void FieldReadings::come_down_from_twice() {
    scale_.remember(unmodelled_.hysteresis > 0.0 ? 1.0 : 0.0, creeps() ? most_crept : 0.0);
    for (const double times : {2.0, 1.0}) {
        const std::array real{mechanics::PointLoad{standing_.x_m, standing_.y_m, times * standing_.force_N}};
        scale_.change(real);
    }
}

void FieldReadings::zero() {
    calibration_.zero_ratio = scale_.read(calibration_).ratio;
}

Reading FieldReadings::weight() {
    Reading r;
    r.quantity = Quantity::weight;
    r.load = intended_;
    const weighing::Indication shown = scale_.read(calibration_);
    const double division_kg = description_.division_at_kg(shown.weight_kg);
    const double spread =
        noise(instruments_.repeatability_divisions * division_kg) + unsteady_kg(division_kg);
    if (shown.reference_missing) {
        r.shown = Shown::blank;
    } else if (shown.over_range) {
        r.shown = shown.ratio > 0.0 ? Shown::over_range : Shown::under_range;
    } else {
        r.value = noisy_ ? weighing::rounded_kg(shown.weight_kg + spread, division_kg) : shown.weight_kg;
        if (weighing::range_of(r.value, description_.max_kg, description_.division_kg, {}) ==
            weighing::RangeState::over) {
            r.value = 0.0;
            r.shown = Shown::over_range;
        }
    }
    return r;
}

Reading FieldReadings::channel(int position) {
    Reading r;
    r.quantity = Quantity::channel;
    r.load = intended_;
    r.cell = position;
    r.is_ratio = true;
    const circuit::BoxOutput out = scale_.box().output(scale_.ratios());
    const double ratio = out.channel[static_cast<unsigned>(position)] + noise(channel_noise_V_per_V);
    if (out.reference_missing) {
        r.shown = Shown::blank;
    } else if (std::fabs(ratio) > description_.full_scale_V_per_V) {
        r.shown = ratio > 0.0 ? Shown::over_range : Shown::under_range;
    } else {
        r.value = shown_to(ratio, channel_step_V_per_V);
    }
    return r;
}

Reading FieldReadings::lifted_signal(int position) {
    Reading r;
    r.quantity = Quantity::signal;
    r.load = intended_;
    r.cell = position;
    r.connected = false;
    const circuit::LiftedCell lifted(landed_cell(position));
    const double ratio = lifted.signal_ratio(scale_.ratios()[static_cast<unsigned>(position)]);
    const double volt = ratio * description_.excitation_V * (1.0 + (noisy_ ? millivoltmeter_gain_ : 0.0)) +
                        noise(instruments_.millivoltmeter_V);
    r.value = shown_to(volt, millivoltmeter_step_V);
    return r;
}

Reading FieldReadings::resistance(int position, Wire a, Wire b) {
    Reading r;
    r.quantity = Quantity::resistance;
    r.load = intended_;
    r.cell = position;
    r.between_a = a;
    r.between_b = b;
    const bool insulation = a == Wire::shield || b == Wire::shield;
    const circuit::LiftedCell lifted(landed_cell(position));
    const double ohm = lifted.resistance_ohm(a, b, scale_.ratios()[static_cast<unsigned>(position)]);
    const double error = insulation ? instrument_error(instruments_.insulation_tester, insulation_tester_)
                                    : instrument_error(instruments_.ohmmeter, ohmmeter_);
    // An insulation tester's error is a factor: it never reads below nothing.
    const double read =
        insulation ? ohm * numbers::exp(error) : std::fabs(ohm * (1.0 + error) + noise(ohmmeter_contact_ohm));
    if (read > (insulation ? insulation_end_ohm : ohmmeter_end_ohm)) {
        r.shown = Shown::over_range;
        r.value = std::numeric_limits<double>::infinity();
        return r;
    }
    const double figures = step_for_figures(read, insulation ? insulation_figures : meter_figures);
    r.value = shown_to(read, figures > ohmmeter_step_ohm ? figures : ohmmeter_step_ohm);
    return r;
}

Reading FieldReadings::excitation(diagnosis::ExcitationPlace place, int position) {
    using diagnosis::ExcitationPlace;
    Reading r;
    r.quantity = Quantity::excitation;
    r.load = intended_;
    r.place = place;
    r.cell = position;
    const auto& ratios = scale_.ratios();
    const double volt =
        place == ExcitationPlace::cell
            ? circuit::excitation_at_cell_V(scale_.box(), scale_.condition(), position, ratios)
        : place == ExcitationPlace::box ? circuit::excitation_in_box_V(scale_.box(), ratios)
                                        : circuit::excitation_at_indicator_V(scale_.box(), ratios);
    r.value = shown_to(volt * (1.0 + instrument_error(instruments_.voltmeter, voltmeter_)), voltmeter_step_V);
    return r;
}

}  // namespace cornerbench::field
