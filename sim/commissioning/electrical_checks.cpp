#include <algorithm>
#include <array>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "firmware/circuit/box.h"
#include "firmware/scale/copper.h"
#include "firmware/weighing/still_scale.h"
#include "firmware/weighing/weigher.h"
#include "sim/commissioning/design_check.h"
#include "sim/field/trimmed_corners.h"
#include "sim/virtual_scale/indicator_settings.h"

namespace cornerbench::commissioning {

namespace {

const std::string practice = "common practice, no source";

/// Of white noise, largest less smallest in a thousand readings, in standard deviations (6.6).
constexpr double peak_to_peak = 6.6;
/// Common practice, no source: noise moves the display less than a fifth of a division.
constexpr double most_noise_divisions = 0.2;
/// Common practice, no source: ten internal counts a division.
constexpr double wanted_counts = 10.0;

struct Signal {
    double V_per_division = 0.0;
    double ratio_per_division = 0.0;
};

/// Signal of one of the finest divisions at the converter, by C U (R/N) e / Emax.
Signal division_signal(const scale::Description& d) {
    Signal signal;
    for (int i = 0; i < d.cell_count(); ++i) {
        const scale::Cell& cell = d.cells[static_cast<unsigned>(i)];
        signal.ratio_per_division += cell.rated_output_V_per_V / cell.capacity_kg / d.cell_count();
    }
    signal.ratio_per_division *= d.division_at_kg(0.0);
    if (d.converter == scale::Converter::summed) signal.ratio_per_division /= d.cell_count();
    signal.V_per_division = signal.ratio_per_division * d.excitation_V;
    return signal;
}

std::string rule_clause(const Design& design) {
    return design.standard.modules ? design.standard.modules->certificates_clause : practice;
}

void check_signal(const Design& design, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    const Signal signal = division_signal(d);
    CheckLine line{"signal", "Signal of one division", rule_clause(design)};
    line.value = 1.0e6 * signal.V_per_division;
    if (design.scale.certificates.indicator_least_V > 0.0)
        line.limit = 1.0e6 * design.scale.certificates.indicator_least_V;
    line.sense = Sense::at_least;
    line.unit = "uV";
    line.how = fmt::format("{:g} mV/V, {:g} V, {} cells, e over a cell's capacity",
                           1000.0 * d.cells[0].rated_output_V_per_V, d.excitation_V, d.cell_count());
    line.mend = "more excitation, cells of more output or less capacity, or a larger division";
    judge(line);
    if (line.answer == Answer::question)
        line.mend =
            "the file does not say: take the indicator's least signal into [certificates] "
            "indicator_least_uV";
    lines.push_back(line);

    const weighing::Weigher weigher(virtual_scale::indicator_settings(design.scale).weigher);
    const bool filters = weigher.plan().error == weighing::FilterError::none;
    CheckLine noise{"noise", "Noise of the display", practice};
    noise.unit = "divisions";
    noise.limit = most_noise_divisions;
    if (filters) {
        noise.value =
            peak_to_peak * d.noise_V_rms * std::sqrt(weigher.plan().noise_gain()) / signal.V_per_division;
        if (d.converter == scale::Converter::per_cell)
            *noise.value *= std::sqrt(static_cast<double>(d.cell_count()));
    }
    noise.how = fmt::format("peak to peak behind the filter, from {:g} nV at {:g} Hz", 1.0e9 * d.noise_V_rms,
                            d.rate_Hz);
    noise.mend = "more signal for a division, a slower filter or a quieter converter";
    judge(noise);
    lines.push_back(noise);

    CheckLine counts{"counts", "Codes of the converter in a division", practice};
    counts.value = signal.ratio_per_division * std::ldexp(1.0, d.converter_bits - 1) / d.full_scale_V_per_V;
    counts.limit = wanted_counts;
    counts.sense = Sense::at_least;
    counts.how = fmt::format("{} bits over {:g} mV/V either way, before the filter", d.converter_bits,
                             1000.0 * d.full_scale_V_per_V);
    counts.mend = "a converter of more bits, or a smaller full scale";
    judge(counts, Answer::question);
    lines.push_back(counts);
}

void check_full_scale(const Design& design, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    weighing::StillScale scale(d, scale::sound_condition(d));
    double most = 0.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        const scale::Cell& cell = d.cells[static_cast<unsigned>(i)];
        most = std::max(most, cell.rated_output_V_per_V * (1.0 + cell.zero_tolerance));
    }
    CheckLine line{"full-scale", "Largest signal of the converter", practice};
    line.unit = "mV/V";
    line.limit = 1000.0 * d.full_scale_V_per_V;
    if (d.converter == scale::Converter::per_cell) {
        line.value = 1000.0 * most;
        line.how = "a cell at its capacity with its largest zero";
    } else {
        const weighing::ZeroAndSpan set = scale.calibrate(0.5 * d.max_kg);
        line.value = 1000.0 * (set.zero_ratio + 1.05 * d.max_kg / set.kg_per_ratio +
                               d.cells[0].zero_tolerance * d.cells[0].rated_output_V_per_V);
        line.how = "deck, 105 % of Max, and every cell with its largest zero";
    }
    line.mend = "a larger full scale of the converter";
    judge(line);
    lines.push_back(line);
}

void check_supply(const Design& design, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    if (d.converter == scale::Converter::per_cell) return;
    const scale::Condition sound = scale::sound_condition(d);
    double siemens = 0.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        const auto at = static_cast<unsigned>(i);
        double ohm = d.cells[at].input_ohm + 2.0 * sound.cells[at].cable_ohm_per_m * d.cells[at].cable_m +
                     2.0 * d.contact_ohm;
        if (d.trim.kind == scale::TrimKind::excitation_series)
            ohm += scale::trim_variable_ohm(d.trim, d.cells[at].trim_at);
        siemens += 1.0 / ohm;
    }
    const files::Certificates& papers = design.scale.certificates;
    CheckLine line{"supply-load", "Resistance of all cells together", rule_clause(design)};
    line.value = 1.0 / siemens;
    if (papers.indicator_least_ohm > 0.0) line.limit = papers.indicator_least_ohm;
    line.sense = Sense::at_least;
    line.unit = "ohm";
    line.how = fmt::format("the supply gives {:.0f} mA at {:g} V", 1000.0 * d.excitation_V * siemens,
                           d.excitation_V);
    line.mend = "cells of more resistance, fewer of them, or an indicator with a stronger supply";
    judge(line);
    if (line.answer == Answer::question)
        line.mend =
            "the file does not say: take the indicator's least load into [certificates] "
            "indicator_least_ohm";
    if (papers.indicator_most_ohm > 0.0 && *line.value > papers.indicator_most_ohm) {
        line.answer = Answer::fail;
        line.mend = "too little load for the supply: cells of less resistance";
    }
    lines.push_back(line);
}

enum class Copper : unsigned char { home_run, cell_cables };

void multiply(scale::Condition& c, Copper which, double by) {
    if (which == Copper::home_run) {
        for (double& ohm : c.home_run_ohm) ohm *= by;
        return;
    }
    for (int i = 0; i < c.cell_count; ++i) c.cells[static_cast<unsigned>(i)].cable_ohm_per_m *= by;
}

/// Error at Max, kg, with some of the copper `by` times its resistance and span set before.
double span_error_kg(const scale::Description& d, Copper which, double by) {
    const scale::Condition sound = scale::sound_condition(d);
    scale::Condition other = sound;
    multiply(other, which, by);
    const double before = weighing::StillScale(d, sound).calibrate(d.max_kg).kg_per_ratio;
    const double after = weighing::StillScale(d, other).calibrate(d.max_kg).kg_per_ratio;
    return after != 0.0 ? d.max_kg * (before / after - 1.0) : d.max_kg;
}

/// Copper's resistance at `temperature_C` over that at the file's cable temperature.
double warmth_factor(const scale::Description& d, double temperature_C) {
    return (1.0 + scale::copper_per_K * (temperature_C - 20.0)) /
           (1.0 + scale::copper_per_K * (d.cable_temperature_C - 20.0));
}

/// A conductor of next to no resistance, as a share of what it has.
constexpr double no_copper = 1.0e-6;

void check_copper(const Design& design, Copper which, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    const bool home_run = which == Copper::home_run;
    if (home_run && d.converter == scale::Converter::per_cell) return;
    const double unit_kg = scale::kilograms_in(d.unit);
    const double cold = span_error_kg(d, which, warmth_factor(d, design.traffic.cold_C));
    const double hot = span_error_kg(d, which, warmth_factor(d, design.traffic.hot_C));
    CheckLine line{home_run ? "home-run-warmth" : "cell-cable-warmth",
                   home_run ? "Error at Max from the home run's warmth"
                            : "Error at Max from the warmth of the cells' cables",
                   rule_clause(design)};
    line.value = std::max(std::fabs(cold), std::fabs(hot));
    const files::ModuleRule rule = design.standard.modules.value_or(files::ModuleRule{});
    const double share = home_run ? rule.cable_share : rule.cell_share;
    line.limit = share * d.division_kg *
                 design.standard.limit_divisions(design.scale.accuracy_class, files::Stage::verification,
                                                 d.max_kg / d.division_kg);
    line.is_mass = true;
    const double loss = span_error_kg(d, which, no_copper) / d.max_kg;
    line.how = fmt::format(
        "{:+.4g} at {:g} C, {:+.4g} at {:g} C, span set at {:g} C; allowed {:g} of the limit of "
        "error; the copper takes {:.2g} % of the signal; {}",
        cold / unit_kg, design.traffic.cold_C, hot / unit_kg, design.traffic.hot_C, d.cable_temperature_C,
        share, 100.0 * loss,
        !home_run               ? "taken as not compensated in the cells"
        : d.home_run_wires == 6 ? "sense wires at the box"
                                : "no sense wires");
    line.mend = !home_run
                    ? "ask the cells' maker whether they are compensated with their cables; never cut them"
                : d.home_run_wires == 4 ? "a home run of six wires, or a thicker one"
                                        : "a shorter or a thicker home run";
    judge(line, home_run ? Answer::fail : Answer::question);
    lines.push_back(line);
}

/// Gain of corner 1 beside that of a sound scale, as the box makes it.
double corner_gain(const scale::Condition& c) {
    const circuit::Box box(c);
    circuit::Ratios ratios{};
    const double zero = box.output(std::span(ratios).first(static_cast<std::size_t>(c.cell_count))).ratio;
    ratios[0] = 0.5 * c.cells[0].sensitivity_V_per_V;
    return box.output(std::span(ratios).first(static_cast<std::size_t>(c.cell_count))).ratio - zero;
}

void check_trim(const Design& design, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    CheckLine line{"trim-range", "Reach of a trim, of a corner's weight", practice};
    line.sense = Sense::at_least;
    line.unit = "%";
    if (d.converter == scale::Converter::per_cell) return;
    const scale::Condition sound = scale::sound_condition(d);
    const double gain = corner_gain(sound);
    const auto gain_with = [&](auto edit) {
        scale::Condition c = sound;
        edit(c);
        return corner_gain(c) / gain - 1.0;
    };
    const double resistance = std::fabs(
        gain_with([&](scale::Condition& c) { c.cells[0].output_ohm *= 1.0 + d.cells[0].output_tolerance; }));
    const double input = std::fabs(
        gain_with([&](scale::Condition& c) { c.cells[0].input_ohm *= 1.0 + d.cells[0].input_tolerance; }));
    const double spread = 2.0 * (d.cells[0].rated_output_tolerance + resistance + input);
    line.limit = 100.0 * spread;
    if (!field::can_trim(d)) {
        line.value = 0.0;
        line.how = "this box has no trims";
        line.mend = "matched cells, or a box with trims";
    } else {
        const field::KnobRange range = field::knob_range(sound);
        const double at_low = gain_with([&](scale::Condition& c) { field::knob(c, 0) = range.low; });
        const double at_high = gain_with([&](scale::Condition& c) { field::knob(c, 0) = range.high; });
        line.value = 100.0 * std::fabs(at_high - at_low);
        line.how = fmt::format(
            "to bring the largest of all cells to the smallest: rated output {:g} %, output resistance "
            "{:.2g} %, "
            "input resistance {:.2g} %, either way",
            100.0 * d.cells[0].rated_output_tolerance, 100.0 * resistance, 100.0 * input);
        line.mend = "trims of more resistance, or cells of smaller tolerance";
    }
    judge(line, Answer::question);
    lines.push_back(line);
}

}  // namespace

std::vector<CheckLine> check_electrics(const Design& design) {
    std::vector<CheckLine> lines;
    check_signal(design, lines);
    check_full_scale(design, lines);
    check_supply(design, lines);
    check_copper(design, Copper::home_run, lines);
    check_copper(design, Copper::cell_cables, lines);
    check_trim(design, lines);
    return lines;
}

}  // namespace cornerbench::commissioning
