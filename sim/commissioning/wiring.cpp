#include "sim/commissioning/wiring.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "firmware/circuit/box.h"
#include "firmware/circuit/lifted_cell.h"
#include "firmware/diagnosis/reading.h"
#include "firmware/diagnosis/scatter.h"
#include "firmware/scale/copper.h"
#include "firmware/weighing/still_scale.h"
#include "sim/field/places.h"
#include "sim/field/test_load.h"

namespace cornerbench::commissioning {

using scale::Wire;

namespace {

constexpr std::array<std::array<Wire, 2>, live_pairs> pairs{{{Wire::excitation_plus, Wire::excitation_minus},
                                                             {Wire::signal_plus, Wire::signal_minus},
                                                             {Wire::excitation_plus, Wire::signal_plus},
                                                             {Wire::excitation_plus, Wire::signal_minus},
                                                             {Wire::excitation_minus, Wire::signal_plus},
                                                             {Wire::excitation_minus, Wire::signal_minus}}};

/// Of the dead load on one support, relative: the deck's mass and how it lies on its supports.
constexpr double dead_load_tolerance = 0.10;
/// So many standard uncertainties below the described insulation, one of 40 sound cells is to be expected.
constexpr double least_insulation_uncertainties = 2.0;
/// Common practice, no source: an ohmmeter's leads and contact.
constexpr double meter_ohm = 0.3;
/// Cables this near to each other are of one length.
constexpr double same_length_m = 0.05;
constexpr double warmer_K = 10.0;

double tolerance_of(const scale::Cell& cell, Wire a, Wire b) {
    const bool excitation = a == Wire::excitation_plus && b == Wire::excitation_minus;
    if (excitation) return cell.input_tolerance;
    const bool signal = a == Wire::signal_plus && b == Wire::signal_minus;
    return signal ? cell.output_tolerance : std::max(cell.input_tolerance, cell.output_tolerance);
}

/// What a tester must at least show, as a share of what is described: the spread that a diagnosis allows a
/// sound cell and its tester.
double least_insulation_share() {
    const double cell = diagnosis::Scatter{}.insulation_ln;
    const double tester = diagnosis::Instruments{}.insulation_tester;
    return std::exp(-least_insulation_uncertainties * std::hypot(cell, tester));
}

WiredCell wired_cell(const scale::Description& d, const weighing::StillScale& scale, int index) {
    const auto at = static_cast<unsigned>(index);
    const scale::Cell& rated = d.cells[at];
    const circuit::LiftedCell lifted(scale.condition().cells[at]);
    const double ratio = scale.ratios()[at];
    WiredCell cell;
    cell.cell = index;
    cell.cable_m = rated.cable_m;
    for (std::size_t p = 0; p < pairs.size(); ++p) {
        const double ohm = lifted.resistance_ohm(pairs[p][0], pairs[p][1], ratio);
        const double half = ohm * tolerance_of(rated, pairs[p][0], pairs[p][1]) + meter_ohm;
        cell.pairs[p] = {pairs[p][0], pairs[p][1], {ohm, ohm - half, ohm + half}};
    }
    cell.insulation_ohm = lifted.resistance_ohm(Wire::signal_plus, Wire::shield, ratio);
    cell.least_insulation_ohm = least_insulation_share() * cell.insulation_ohm;
    cell.dead_load_kg = scale.deck().support_N[at] / scale::standard_gravity;
    const double volt = lifted.signal_ratio(ratio) * d.excitation_V;
    const double half = std::fabs(volt) * (dead_load_tolerance + rated.rated_output_tolerance) +
                        rated.zero_tolerance * rated.rated_output_V_per_V * d.excitation_V;
    cell.signal_V = {volt, volt - half, volt + half};
    return cell;
}

/// Weight of `test_kg` over a support, kg, when `edit` has changed the sound scale that was calibrated.
template <class Edit>
double corner_kg(const scale::Description& d, int support, double test_kg, Edit edit) {
    scale::Condition condition = scale::sound_condition(d);
    edit(condition);
    weighing::StillScale scale(d, condition);
    weighing::ZeroAndSpan set = weighing::sound_calibration(d);
    set.zero_ratio = scale.read(set).ratio;
    const field::Place place = field::over_support(d.deck, support);
    const std::array load{mechanics::PointLoad{place.x_m, place.y_m, test_kg * d.gravity}};
    scale.put(load);
    return scale.read(set).weight_kg;
}

double usual_length_m(const scale::Description& d) {
    std::map<long, int> counts;
    for (int i = 0; i < d.cell_count(); ++i)
        ++counts[std::lround(d.cells[static_cast<unsigned>(i)].cable_m / same_length_m)];
    const auto most = std::max_element(counts.begin(), counts.end(),
                                       [](const auto& a, const auto& b) { return a.second < b.second; });
    return static_cast<double>(most->first) * same_length_m;
}

bool of_length(const scale::Cell& cell, double metres) {
    return std::fabs(cell.cable_m - metres) <= same_length_m;
}

/// What is shown too much over a corner when the cable with which its cell was rated has another length.
double length_error_kg(scale::Description d, int support, double test_kg, double rated_m, double now_m) {
    d.cells[static_cast<unsigned>(support)].cable_m = rated_m;
    const auto weight = [&](double metres) {
        return corner_kg(d, support, test_kg, [&](scale::Condition& c) {
            c.cells[static_cast<unsigned>(support)].cable_m = metres;
        });
    };
    return weight(now_m) - weight(rated_m);
}

/// What is shown too much over a corner when every cable is warmer.
double warm_error_kg(const scale::Description& d, int support, double test_kg) {
    const double warmed = corner_kg(d, support, test_kg, [](scale::Condition& c) {
        for (int i = 0; i < c.cell_count; ++i)
            c.cells[static_cast<unsigned>(i)].cable_ohm_per_m *= 1.0 + scale::copper_per_K * warmer_K;
    });
    return warmed - corner_kg(d, support, test_kg, [](scale::Condition&) {});
}

CableCost cable_cost(const scale::Description& d) {
    CableCost cost;
    cost.test_kg = field::usual_corner_kg(d);
    const double first_m = d.cells[0].cable_m;
    cost.error_kg_per_m = length_error_kg(d, 0, cost.test_kg, first_m, std::max(0.0, first_m - 1.0));
    cost.usual_m = usual_length_m(d);
    int usual = 0;
    while (usual + 1 < d.cell_count() && !of_length(d.cells[static_cast<unsigned>(usual)], cost.usual_m))
        ++usual;
    for (int i = 0; i < d.cell_count(); ++i) {
        const scale::Cell& cell = d.cells[static_cast<unsigned>(i)];
        if (of_length(cell, cost.usual_m)) continue;
        cost.unequal.push_back({i, cell.cable_m,
                                length_error_kg(d, i, cost.test_kg, cost.usual_m, cell.cable_m),
                                warm_error_kg(d, i, cost.test_kg) - warm_error_kg(d, usual, cost.test_kg)});
    }
    return cost;
}

}  // namespace

Wiring plan_wiring(const files::ScaleFile& file) {
    const scale::Description& d = file.description;
    const weighing::StillScale scale(d, scale::sound_condition(d));
    Wiring wiring;
    double siemens = 0.0;
    double tolerance_V = 0.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        wiring.cells.push_back(wired_cell(d, scale, i));
        double ohm = wiring.cells.back().pairs[0].ohm.value + 2.0 * d.contact_ohm;
        if (d.trim.kind == scale::TrimKind::excitation_series)
            ohm += scale::trim_variable_ohm(d.trim, d.cells[static_cast<unsigned>(i)].trim_at);
        siemens += 1.0 / ohm;
        tolerance_V +=
            (wiring.cells.back().signal_V.high - wiring.cells.back().signal_V.value) / d.cell_count();
    }
    wiring.bus_ohm = 1.0 / siemens;
    if (d.converter == scale::Converter::summed) {
        const double volt = circuit::signal_in_box_V(scale.box(), 0, scale.ratios());
        wiring.bus_signal_V = {volt, volt - tolerance_V, volt + tolerance_V};
        wiring.excitation_in_box_V = circuit::excitation_in_box_V(scale.box(), scale.ratios());
        wiring.excitation_at_indicator_V = circuit::excitation_at_indicator_V(scale.box(), scale.ratios());
    }
    wiring.cable = cable_cost(d);
    return wiring;
}

}  // namespace cornerbench::commissioning
