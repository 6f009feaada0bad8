#include "firmware/diagnosis/cell_slopes.h"

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

using circuit::CellPorts;

namespace {

constexpr double reference_load = 0.2;

CellPorts difference(const CellPorts& a, const CellPorts& b, double per) {
    CellPorts d;
    for (int p = 0; p < circuit::port_pair_count; ++p) d.siemens[p] = (a.siemens[p] - b.siemens[p]) / per;
    return d;
}

CellPorts ports_at(const circuit::CellFrame& frame, const scale::CellCondition& cell, double force_N) {
    return frame.close(circuit::arm_ohms(cell, circuit::bridge_ratio(cell, force_N)));
}

}  // namespace

CellScatter cell_scatter(const scale::Cell& cell, const Scatter& s) {
    return {cell.rated_output_tolerance * s.of_tolerance,
            cell.zero_tolerance * cell.rated_output_V_per_V * s.of_tolerance,
            cell.input_tolerance * s.of_tolerance, cell.output_tolerance * s.of_tolerance};
}

void perturb(Perturbed what, const scale::Cell& bought, const scale::Trim& trim, bool trims_calibrated,
             const Scatter& s, scale::CellCondition& cell, scale::BoxPosition& position) {
    const CellScatter own = cell_scatter(bought, s);
    switch (what) {
        case Perturbed::input:
            cell.input_ohm *= 1.0 + own.input;
            break;
        case Perturbed::output:
            cell.output_ohm *= 1.0 + own.output;
            break;
        case Perturbed::cable:
            cell.cable_m += s.cable_length * cell.delivered_cable_m;
            cell.delivered_cable_m *= 1.0 + s.cable_length;
            break;
        case Perturbed::insulation:
            cell.insulation_ohm *= numbers::exp(s.insulation_ln);
            break;
        case Perturbed::copper:
            cell.cable_ohm_per_m += 0.00393 * s.cable_temperature_K * cell.delivered_cable_ohm_per_m;
            break;
        case Perturbed::trim:
            if (trim.turns > 0.0) {
                position.trim_at += trims_calibrated ? s.trim_left_turns : s.trim_read_turns;
            } else {
                position.trim_at += s.trim_left_ohm * trim.total_ohm;
            }
            break;
    }
}

double slope_load_N(const scale::CellCondition& cell) {
    return reference_load * cell.capacity_kg * scale::standard_gravity;
}

CellSlopes cell_slopes(const scale::Condition& condition, int position, const scale::Cell& bought,
                       bool trims_calibrated, const Scatter& scatter) {
    const scale::BoxPosition& place = condition.positions[position];
    const scale::CellCondition& cell = condition.cells[place.cell];
    const circuit::CellFrame frame(cell, place, condition.trim);
    const double force_N = slope_load_N(cell);

    CellSlopes slopes;
    slopes.ratio_per_N = circuit::bridge_ratio_per_N(cell);
    const double rest_ratio = circuit::bridge_ratio(cell, 0.0);
    const CellPorts rest = ports_at(frame, cell, 0.0);
    const CellPorts loaded = ports_at(frame, cell, force_N);
    slopes.keep_per_ratio(difference(frame.close(circuit::arm_ohms(cell, rest_ratio + slope_ratio_step)),
                                     rest, slope_ratio_step));
    for (int q = 0; q < perturbed_count; ++q) {
        scale::CellCondition moved_cell = cell;
        scale::BoxPosition moved_place = place;
        perturb(static_cast<Perturbed>(q), bought, condition.trim, trims_calibrated, scatter, moved_cell,
                moved_place);
        const circuit::CellFrame moved(moved_cell, moved_place, condition.trim);
        const CellPorts at_rest = difference(ports_at(moved, moved_cell, 0.0), rest, 1.0);
        const CellPorts under_load = difference(ports_at(moved, moved_cell, force_N), loaded, 1.0);
        slopes.keep_perturbed(q, at_rest, difference(under_load, at_rest, force_N));
    }
    return slopes;
}

NetworkAnswers CellSlopes::answers(const circuit::RatioGradient& gradient) const {
    std::array<double, answer_count + 1> sum{};
    for (int p = 0; p < circuit::port_pair_count; ++p) {
        for (int k = 0; k < answer_count + 1; ++k) sum[k] += gradient[p] * by_port_[p][k];
    }
    NetworkAnswers a;
    a.per_ratio = sum[0];
    for (int q = 0; q < perturbed_count; ++q) {
        a.at_rest[q] = sum[1 + q];
        a.per_N[q] = sum[1 + perturbed_count + q];
    }
    return a;
}

}  // namespace cornerbench::diagnosis
