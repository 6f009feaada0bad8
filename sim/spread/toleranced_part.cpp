#include "sim/spread/toleranced_part.h"

#include <algorithm>
#include <array>

#include "firmware/scale/copper.h"

namespace cornerbench::spread {

using scale::Wire;

namespace {

constexpr double per_percent = 0.01;
constexpr double per_ppm = 1.0e-6;

struct Named {
    std::string_view words;
    std::string_view unit;
};

constexpr std::array<Named, part_count> names{{{"rated output", "%"},
                                               {"zero balance", "%"},
                                               {"input resistance", "%"},
                                               {"output resistance", "%"},
                                               {"cable length", "%"},
                                               {"cable cut on site", "m"},
                                               {"cable's ohms per metre", "%"},
                                               {"excitation terminals", "ohm"},
                                               {"mixing resistors", "%"},
                                               {"trim resistance", "%"},
                                               {"trim setting", "%"},
                                               {"cell: span drift", "ppm/K"},
                                               {"cell: zero drift", "ppm/K"},
                                               {"trim drift", "ppm/K"},
                                               {"copper's temperature", "K"}}};

/// Half-width of a part, as the tolerances have it, of one cell.
double half_width(Part part, const scale::Description& d, const scale::Cell& cell,
                  const field::PartTolerances& t, State state) {
    const bool digital = d.converter == scale::Converter::per_cell;
    const bool trims = d.trim.kind != scale::TrimKind::none;
    const auto ppm = [](double of_file, double usual) { return of_file != 0.0 ? of_file / per_ppm : usual; };
    switch (part) {
        case Part::rated_output:
            return t.rated_output_percent.value_or(cell.rated_output_tolerance / per_percent);
        case Part::zero_balance:
            return t.zero_percent.value_or(cell.zero_tolerance / per_percent);
        case Part::input_resistance:
            return t.input_resistance_percent.value_or(cell.input_tolerance / per_percent);
        case Part::output_resistance:
            return t.output_resistance_percent.value_or(cell.output_tolerance / per_percent);
        case Part::cable_length:
            return t.cable_length_percent;
        case Part::cable_cut:
            return t.cable_cut_m;
        case Part::conductor:
            return t.conductor_percent;
        case Part::terminal:
            return t.terminal_ohm;
        case Part::mixing:
            return d.trim.mixing_ohm > 0.0 ? t.mixing_percent : 0.0;
        case Part::trim_total:
            return !trims ? 0.0 : d.trim.turns > 0.0 ? t.trim_percent : t.fixed_trim_percent;
        case Part::trim_setting:
            if (state == State::as_delivered) return 0.0;
            return digital ? t.corner_gain_percent : trims ? t.trim_setting_percent : 0.0;
        case Part::span_drift:
            return t.span_ppm_per_K.value_or(
                ppm(cell.span_per_K < 0.0 ? -cell.span_per_K : cell.span_per_K, field::usual_span_ppm_per_K));
        case Part::zero_drift:
            return t.zero_ppm_per_K.value_or(
                ppm(cell.zero_per_K < 0.0 ? -cell.zero_per_K : cell.zero_per_K, field::usual_zero_ppm_per_K));
        case Part::trim_drift:
            return trims ? t.trim_ppm_per_K : 0.0;
        case Part::copper_temperature:
            return t.temperature_K;
    }
    return 0.0;
}

double reach_of(Part part, double half_width, const field::PartTolerances& t) {
    const std::string_view unit = unit_of(part);
    if (unit == "%") return per_percent * half_width;
    return unit == "ppm/K" ? per_ppm * half_width * t.temperature_K : half_width;
}

void warm_copper(double kelvin, const scale::Description& d, scale::Condition& c) {
    const double warmth = scale::copper_ohm_per_m(1.0, d.cable_temperature_C + kelvin) /
                          scale::copper_ohm_per_m(1.0, d.cable_temperature_C);
    for (scale::CellCondition& cell : c.cells) cell.cable_ohm_per_m *= warmth;
    for (double& ohm : c.home_run_ohm) ohm *= warmth;
}

double& contact(scale::BoxPosition& place, Wire wire) {
    return place.contact_ohm[static_cast<unsigned>(scale::index_of(wire))];
}

}  // namespace

std::string_view words_of(Part part) {
    return names[static_cast<unsigned>(part)].words;
}

std::string_view unit_of(Part part) {
    return names[static_cast<unsigned>(part)].unit;
}

std::vector<Variable> variables_of(const scale::Description& d, const field::PartTolerances& t, State state) {
    std::vector<Variable> all;
    for (int p = 0; p < part_count; ++p) {
        const auto part = static_cast<Part>(p);
        const bool common = part == Part::copper_temperature;
        for (int i = 0; i < (common ? 1 : d.cell_count()); ++i) {
            const double width = half_width(part, d, d.cells[static_cast<unsigned>(i)], t, state);
            const double reach = reach_of(part, width, t);
            if (reach > 0.0) all.push_back({part, common ? -1 : i, width, reach});
        }
    }
    return all;
}

scale::Condition nominal_condition(const scale::Description& d, std::span<const Variable> variables) {
    scale::Condition c = scale::sound_condition(d);
    for (const Variable& v : variables) {
        if (v.part != Part::mixing) continue;
        // What can be missing of the resistor stands at the screw, where it can be taken away cell by cell.
        for (const Wire wire : {Wire::signal_plus, Wire::signal_minus})
            contact(c.positions[static_cast<unsigned>(v.cell)], wire) += v.reach * d.trim.mixing_ohm;
        c.trim.mixing_ohm = d.trim.mixing_ohm * (1.0 - v.reach);
    }
    return c;
}

void apply(const Variable& v, double x, const scale::Description& d, scale::Condition& c) {
    const double by = x * v.reach;
    if (v.part == Part::copper_temperature) return warm_copper(by, d, c);
    const auto at = static_cast<unsigned>(v.cell);
    scale::CellCondition& cell = c.cells[at];
    scale::BoxPosition& place = c.positions[at];
    const double rated = d.cells[at].rated_output_V_per_V;
    const double trim_last = scale::trim_last_position(c.trim);
    const bool digital = c.converter == scale::Converter::per_cell;
    switch (v.part) {
        case Part::rated_output:
        case Part::span_drift:
            cell.sensitivity_V_per_V *= 1.0 + by;
            return;
        case Part::zero_balance:
        case Part::zero_drift:
            cell.zero_V_per_V += by * rated;
            return;
        case Part::input_resistance:
            cell.input_ohm *= 1.0 + by;
            return;
        case Part::output_resistance:
            cell.output_ohm *= 1.0 + by;
            return;
        case Part::cable_length:
            cell.delivered_cable_m *= 1.0 + by;
            cell.cable_m *= 1.0 + by;
            return;
        case Part::cable_cut:
            cell.cable_m = std::max(0.0, cell.cable_m + by);
            return;
        case Part::conductor:
            cell.cable_ohm_per_m *= 1.0 + by;
            cell.delivered_cable_ohm_per_m *= 1.0 + by;
            return;
        case Part::terminal:
            for (const Wire wire : {Wire::excitation_plus, Wire::excitation_minus})
                contact(place, wire) = std::max(0.0, contact(place, wire) + by);
            return;
        case Part::mixing:
            // In series with the screw, which is the same place but for a shunt: there it counts 2 % too
            // much.
            for (const Wire wire : {Wire::signal_plus, Wire::signal_minus})
                contact(place, wire) += by * d.trim.mixing_ohm;
            return;
        case Part::trim_setting:
            if (digital) {
                place.digital_gain *= 1.0 + by;
                return;
            }
            place.trim_at = std::clamp(place.trim_at + by * trim_last, 0.0, trim_last);
            return;
        case Part::trim_total:
        case Part::trim_drift:
            place.trim_at *= 1.0 + by;
            return;
        case Part::copper_temperature:
            return;
    }
}

}  // namespace cornerbench::spread
