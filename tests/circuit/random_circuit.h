#pragma once

#include <cmath>
#include <random>

#include "firmware/scale/causes.h"
#include "firmware/scale/condition.h"

/// Scales at random, each part with its own value, for comparing two ways of solving them.
namespace cornerbench::oracle {

using Random = std::mt19937_64;

inline double uniform(Random& random, double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
}
inline double log_uniform(Random& random, double low, double high) {
    return std::exp(uniform(random, std::log(low), std::log(high)));
}
inline int pick(Random& random, int below) {
    return std::uniform_int_distribution<int>(0, below - 1)(random);
}

/// The trims that a box can have: each kind, as potentiometer and as fixed resistor, with and without mixing.
inline constexpr int trim_choices = 8;
inline scale::Trim trim_choice(int which) {
    switch (which) {
        case 0:
            return {scale::TrimKind::none, 0.0, 25.0, 0.0, 0.0};
        case 1:
            return {scale::TrimKind::excitation_series, 20.0, 25.0, 0.0, 0.0};
        case 2:
            return {scale::TrimKind::excitation_series, 50.0, 0.0, 0.0, 0.0};
        case 3:
            return {scale::TrimKind::signal_shunt, 200.0e3, 25.0, 20.0e3, 1000.0};
        case 4:
            return {scale::TrimKind::signal_shunt, 500.0e3, 0.0, 10.0e3, 1000.0};
        case 5:
            return {scale::TrimKind::signal_shunt, 200.0e3, 15.0, 20.0e3, 0.0};
        case 6:
            return {scale::TrimKind::none, 0.0, 25.0, 0.0, 2200.0};
        default:
            return {scale::TrimKind::excitation_series, 20.0, 20.0, 0.0, 1000.0};
    }
}

/// A description whose circuit parts are drawn at random, with `cells` cells (rounded up to pairs).
inline scale::Description random_description(Random& random, int cells, const scale::Trim& trim,
                                             scale::Converter converter) {
    scale::Description d;
    d.deck.sections = (cells + 1) / 2;
    d.deck.width_m = 2.6;
    for (int s = 0; s < d.deck.sections; ++s) d.deck.section_x_m[static_cast<unsigned>(s)] = 6.0 * s;
    d.cable_area_mm2 = log_uniform(random, 0.14, 0.5);
    d.cable_temperature_C = uniform(random, -20.0, 50.0);
    d.converter = converter;
    d.trim = trim;
    d.home_run_wires = pick(random, 2) == 0 ? 4 : 6;
    d.home_run_m = uniform(random, 1.0, 300.0);
    d.excitation_V = uniform(random, 3.0, 15.0);
    d.source_ohm = pick(random, 3) == 0 ? uniform(random, 0.1, 2.0) : 0.0;
    d.input_ohm = log_uniform(random, 1.0e7, 1.0e10);
    d.shield_bond = static_cast<scale::ShieldBond>(pick(random, 3));
    d.sense_fallback_ohm = pick(random, 3) == 0 ? 0.0 : log_uniform(random, 1.0e4, 1.0e6);
    for (scale::Cell& cell : d.cells) {
        cell.capacity_kg = 30000.0;
        cell.rated_output_V_per_V = uniform(random, 1.0e-3, 3.0e-3);
        cell.output_ohm = uniform(random, 340.0, 720.0);
        cell.input_ohm = cell.output_ohm + (pick(random, 4) == 0 ? 0.0 : uniform(random, 0.0, 100.0));
        cell.insulation_ohm = log_uniform(random, 1.0e6, 1.0e11);
        cell.cable_m = pick(random, 8) == 0 ? 0.0 : uniform(random, 1.0, 40.0);
        cell.trim_at =
            scale::trim_last_position(trim) * (pick(random, 6) == 0 ? 0.0 : uniform(random, 0.0, 1.0));
    }
    return d;
}

/// Its condition, with every tolerance at random on top and exactly `cells` cells.
inline scale::Condition random_condition(Random& random, const scale::Description& d, int cells) {
    scale::Condition c = scale::sound_condition(d);
    c.cell_count = cells;
    for (double& ohm : c.home_run_ohm) ohm += log_uniform(random, 1.0e-3, 1.0e-1);
    for (int i = 0; i < cells; ++i) {
        scale::CellCondition& cell = c.cells[static_cast<unsigned>(i)];
        cell.zero_V_per_V = uniform(random, -1.0e-4, 1.0e-4);
        cell.sensitivity_V_per_V *= uniform(random, 0.998, 1.002);
        cell.nonlinearity = uniform(random, -3.0e-4, 3.0e-4);
        cell.zero_per_K = uniform(random, -1.0e-4, 1.0e-4);
        cell.span_per_K = uniform(random, -1.0e-4, 1.0e-4);
        cell.temperature_C = uniform(random, -20.0, 50.0);
        for (double& ohm : c.positions[static_cast<unsigned>(i)].contact_ohm) {
            ohm = pick(random, 10) == 0 ? 0.0 : log_uniform(random, 1.0e-3, 1.0e-1);
        }
        c.positions[static_cast<unsigned>(i)].digital_gain = uniform(random, 0.98, 1.02);
    }
    return c;
}

/// True for a cause that edits the circuit or a cell's output, not the deck.
inline bool electrical(scale::Cause cause) {
    switch (cause) {
        case scale::Cause::rubbing:
        case scale::Cause::bound_support:
        case scale::Cause::unseated_support:
        case scale::Cause::settled_footing:
        case scale::Cause::unlisted:
            return false;
        default:
            return true;
    }
}

/// `cause` in `variant` at a random place among the first `cells` cells, with random magnitudes.
inline scale::Fault random_fault(Random& random, const scale::Description& d, int cells, scale::Cause cause,
                                 int variant) {
    scale::Fault fault;
    fault.cause = cause;
    do {
        fault.site = scale::site_at(d, cause, pick(random, scale::site_count(d, cause)));
    } while (fault.site.index >= cells || fault.site.other >= cells);
    fault.variant = scale::variant_at(d, cause, variant);
    const scale::Magnitudes m = scale::magnitudes_of(d, cause, fault.site);
    for (int i = 0; i < m.count; ++i) {
        const scale::Magnitude& of = m.of[static_cast<unsigned>(i)];
        fault.magnitude[static_cast<unsigned>(i)] = of.spread == scale::Spread::log_uniform
                                                        ? log_uniform(random, of.low, of.high)
                                                        : uniform(random, of.low, of.high);
    }
    return fault;
}

inline std::vector<double> random_forces(Random& random) {
    std::vector<double> force_N;
    for (int i = 0; i < scale::max_cells; ++i) force_N.push_back(uniform(random, -1.0e3, 3.0e5));
    return force_N;
}

}  // namespace cornerbench::oracle
