#include "firmware/scale/condition.h"

#include "firmware/scale/copper.h"

namespace cornerbench::scale {

Condition sound_condition(const Description& d) {
    Condition c;
    c.deck = d.deck;
    c.gravity = d.gravity;
    c.cell_count = d.cell_count();
    c.trim = d.trim;
    c.converter = d.converter;
    c.home_run_wires = d.home_run_wires;
    c.excitation_V = c.rated_excitation_V = d.excitation_V;
    c.source_ohm = d.source_ohm;
    c.input_ohm = d.input_ohm;
    c.shield_bond = d.shield_bond;
    c.sense_fallback_ohm = d.sense_fallback_ohm;
    c.home_run_ohm.fill(d.home_run_m * copper_ohm_per_m(d.home_run_area_mm2, d.cable_temperature_C));

    for (int i = 0; i < c.cell_count; ++i) {
        const auto at = static_cast<unsigned>(i);
        const Cell& given = d.cells[at];
        CellCondition& cell = c.cells[at];
        cell.capacity_kg = given.capacity_kg;
        cell.sensitivity_V_per_V = given.rated_output_V_per_V;
        cell.input_ohm = given.input_ohm;
        cell.output_ohm = given.output_ohm;
        cell.insulation_ohm = given.insulation_ohm;
        cell.nonlinearity = given.nonlinearity;
        cell.hysteresis = given.hysteresis;
        cell.creep = given.creep;
        cell.zero_per_K = given.zero_per_K;
        cell.span_per_K = given.span_per_K;
        cell.delivered_cable_m = given.cable_m;
        cell.cable_m = given.cable_m;
        cell.cable_ohm_per_m = copper_ohm_per_m(d.cable_area_mm2, d.cable_temperature_C);
        cell.delivered_cable_ohm_per_m = copper_ohm_per_m(d.cable_area_mm2, 20.0);

        c.supports[at].stiffness_N_per_m = d.support_stiffness_N_per_m;
        c.positions[at].cell = i;
        c.positions[at].contact_ohm.fill(d.contact_ohm);
        c.positions[at].trim_at = given.trim_at;
    }
    return c;
}

}  // namespace cornerbench::scale
