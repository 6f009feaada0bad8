#include "sim/field/specimen.h"

#include <algorithm>

#include "firmware/scale/copper.h"
#include "sim/field/test_load.h"
#include "sim/field/trimmed_corners.h"

namespace cornerbench::field {

namespace {

enum Stream : std::uint64_t { specimen_stream = 1, fresh_cell_stream = 2, home_run_stream = 4 };

/// A normal spread without the tails that no installer would leave behind.
double part(RandomSource& random) {
    return std::clamp(random.normal(), -3.0, 3.0);
}

double within(RandomSource& random, double half_width) {
    return random.between(-half_width, half_width);
}

void draw_zero_and_resistances(const scale::Cell& rated, double weight, RandomSource& random,
                               scale::CellCondition& cell) {
    cell.zero_V_per_V = weight * within(random, rated.zero_tolerance * rated.rated_output_V_per_V);
    cell.input_ohm = rated.input_ohm * (1.0 + weight * within(random, rated.input_tolerance));
    cell.output_ohm = rated.output_ohm * (1.0 + weight * within(random, rated.output_tolerance));
}

double left_over(const Scatter& scatter, const scale::Condition& c) {
    if (c.converter == scale::Converter::per_cell) return scatter.corner_gain;
    return c.trim.turns > 0.0 ? scatter.trim_turns : scatter.trim_ohm * c.trim.total_ohm;
}

/// `seed` is that of what nobody's model has.
Specimen drawn(const scale::Description& description, diagnosis::History history, const Scatter& scatter,
               RandomSource random, RandomSource of_home_run, std::uint64_t seed,
               const Unmodelled& unmodelled) {
    Specimen specimen;
    scale::Condition& c = specimen.condition;
    c = scale::sound_condition(description);
    c.deck.mass_kg *= 1.0 + scatter.dead_load * part(random);
    c.excitation_V *= 1.0 + scatter.excitation * part(random);
    const double warmth = 1.0 + scale::copper_per_K * scatter.cable_temperature_K * part(random);
    const double as_laid = scatter.home_run > 0.0 ? 1.0 + scatter.home_run * part(of_home_run) : 1.0;
    for (double& ohm : c.home_run_ohm) ohm *= warmth * as_laid;
    for (int i = 0; i < c.cell_count; ++i) {
        const auto at = static_cast<unsigned>(i);
        const scale::Cell& rated = description.cells[at];
        scale::CellCondition& cell = c.cells[at];
        cell.sensitivity_V_per_V *=
            1.0 + scatter.cell_tolerances * within(random, rated.rated_output_tolerance);
        draw_zero_and_resistances(rated, scatter.cell_tolerances, random, cell);
        cell.delivered_cable_m *= 1.0 + scatter.cable * part(random);
        cell.cable_m = cell.delivered_cable_m;
        cell.cable_ohm_per_m *= warmth;
        cell.insulation_ohm *= numbers::exp(scatter.insulation_ln * part(random));
        c.supports[at].stiffness_N_per_m *= 1.0 + scatter.stiffness * part(random);
        c.supports[at].height_m = scatter.height_m * part(random);
    }

    draw_class_errors(unmodelled, seed, c);

    if (history == diagnosis::History::calibrated && can_trim(description)) {
        trim_corners_equal(description, usual_corner_kg(description), c);
        const double spread = left_over(scatter, c);
        const KnobRange range = knob_range(c);
        for (int i = 0; i < c.cell_count; ++i) {
            double& at = knob(c, i);
            at = std::clamp(at + spread * part(random), range.low, range.high);
        }
    }

    const weighing::StillScale scale(description, c);
    specimen.calibration = scale.calibrate(0.5 * description.max_kg);
    weighing::ZeroAndSpan& set = specimen.calibration;
    double span_spread = scatter.span_calibrated;
    if (history == diagnosis::History::unadjusted) {
        set.kg_per_ratio = weighing::sound_calibration(description).kg_per_ratio;
        span_spread = scatter.span_unadjusted;
    }
    set.kg_per_ratio *= 1.0 + span_spread * part(random);
    set.zero_ratio += scatter.zero_divisions * description.division_kg / set.kg_per_ratio * part(random);
    warm_up(unmodelled, seed, c);
    return specimen;
}

}  // namespace

Specimen draw_specimen(const scale::Description& description, diagnosis::History history,
                       const Scatter& scatter, std::uint64_t seed, const Unmodelled& unmodelled) {
    return drawn(description, history, scatter, RandomSource(seed, specimen_stream),
                 RandomSource(seed, home_run_stream), seed, unmodelled);
}

Specimen draw_specimen(const scale::Description& description, diagnosis::History history,
                       const Scatter& scatter, RandomSource random, RandomSource of_home_run) {
    return drawn(description, history, scatter, random, of_home_run, 0, {});
}

void draw_fresh_cell(const scale::Cell& rated, const Scatter& scatter, std::uint64_t seed,
                     scale::CellCondition& cell) {
    draw_fresh_cell(rated, scatter, RandomSource(seed, fresh_cell_stream), cell);
}

void draw_fresh_cell(const scale::Cell& rated, const Scatter& scatter, RandomSource random,
                     scale::CellCondition& cell) {
    draw_zero_and_resistances(rated, scatter.cell_tolerances, random, cell);
}

}  // namespace cornerbench::field
