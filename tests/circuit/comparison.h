#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "firmware/circuit/box.h"
#include "firmware/circuit/lifted_cell.h"
#include "tests/circuit/drawing.h"
#include "tests/circuit/random_circuit.h"

/// Holds everything the core says of a scale's circuit against a solver of its drawing.
namespace cornerbench::oracle {

struct Disagreement {
    double times_allowed = 0.0;  ///< difference over what is allowed; above 1 fails
    std::string what;
};

/// Keeps the worst of many comparisons.
class Comparison {
  public:
    explicit Comparison(double relative = 1.0e-9) : relative_(relative) {}

    /// Allowed: `relative` of the reference, or `absolute` if that is more.
    void compare(const std::string& what, double ours, std::optional<double> theirs, double absolute) {
        ++count_;
        if (!theirs) {
            keep({std::numeric_limits<double>::infinity(), what + ": no reference value"});
            return;
        }
        const double difference = std::fabs(ours - *theirs);
        const double allowed = std::max(relative_ * std::fabs(*theirs), absolute);
        const bool sound = std::isfinite(difference);
        keep({sound ? difference / allowed : std::numeric_limits<double>::infinity(),
              what + ": ours " + in_full(ours) + ", theirs " + in_full(*theirs)});
    }
    void agree(const std::string& what, bool yes) {
        ++count_;
        if (!yes) keep({std::numeric_limits<double>::infinity(), what});
    }

    const Disagreement& worst() const { return worst_; }
    int count() const { return count_; }

  private:
    static std::string in_full(double value) {
        char text[40];
        std::snprintf(text, sizeof text, "%.17g", value);
        return text;
    }
    void keep(const Disagreement& d) {
        if (!(d.times_allowed <= worst_.times_allowed)) worst_ = d;
    }
    double relative_;
    Disagreement worst_;
    int count_ = 0;
};

template <typename Solution>
std::optional<double> across(Solution& solution, const std::string& a, const std::string& b) {
    const auto at_a = solution.volt(a);
    const auto at_b = solution.volt(b);
    if (!at_a || !at_b) return std::nullopt;
    return static_cast<double>(*at_a - *at_b);
}

/// Bridge ratio of the cell at each position, by the core.
inline std::array<double, scale::max_cells> core_ratios(const scale::Condition& c, const Forces& force_N) {
    std::array<double, scale::max_cells> ratios{};
    for (int p = 0; p < c.cell_count; ++p) {
        const int cell = c.positions[static_cast<unsigned>(p)].cell;
        ratios[static_cast<unsigned>(p)] =
            circuit::bridge_ratio(c.cells[static_cast<unsigned>(cell)], force_N[static_cast<unsigned>(cell)]);
    }
    return ratios;
}

/// Signal over reference as an indicator reads it. `missing` when a sense terminal hangs free or the
/// reference is below 5 % of the rated supply.
struct ReadRatio {
    double ratio = 0.0;
    double reference_V = 0.0;
    bool missing = true;
    bool near_the_limit = false;
};

template <typename Solution>
ReadRatio read_ratio(Solution& solution, const netlist::BusNames& names, double rated_V) {
    ReadRatio out;
    const auto signal = across(solution, names.indicator(scale::HomeWire::signal_plus),
                               names.indicator(scale::HomeWire::signal_minus));
    const auto reference = across(solution, names.indicator(scale::HomeWire::sense_plus),
                                  names.indicator(scale::HomeWire::sense_minus));
    if (!reference || !signal) return out;
    out.reference_V = *reference;
    const double share = std::fabs(*reference) / rated_V;
    out.missing = !(share > 0.05);
    out.near_the_limit = std::fabs(share - 0.05) < 1.0e-6;
    out.ratio = out.missing ? 0.0 : *signal / *reference;
    return out;
}

/// Everything that a summed or per-cell box shows: ratios, references, volts at places.
template <typename Solve>
void compare_box(const scale::Condition& c, const Forces& force_N, Solve&& solve, Comparison& comparison) {
    const auto ratios = core_ratios(c, force_N);
    const circuit::Box box(c);
    const circuit::BoxOutput ours = box.output(ratios);
    const bool per_cell = c.converter == scale::Converter::per_cell;
    const double nanovolt = 1.0e-9;
    const double nanovolt_ratio = nanovolt / c.excitation_V;
    bool missing = false;
    double sum = 0.0;
    for (int only = per_cell ? 0 : -1; only < (per_cell ? c.cell_count : 0); ++only) {
        const netlist::BusNames names(only);
        auto&& solution = solve(draw_box(c, force_N, only));
        const ReadRatio theirs = read_ratio(solution, names, c.rated_excitation_V);
        if (theirs.near_the_limit) return;
        missing = missing || theirs.missing;
        const double gain = per_cell ? c.positions[static_cast<unsigned>(only)].digital_gain : 1.0;
        sum += gain * theirs.ratio;
        if (per_cell) {
            comparison.compare("channel", ours.channel[static_cast<unsigned>(only)], theirs.ratio,
                               nanovolt_ratio);
        }
        if (only <= 0) {
            comparison.compare("excitation in the box", circuit::excitation_in_box_V(box, ratios),
                               across(solution, names.box(scale::Wire::excitation_plus),
                                      names.box(scale::Wire::excitation_minus)),
                               nanovolt);
            comparison.compare("excitation at the indicator", circuit::excitation_at_indicator_V(box, ratios),
                               across(solution, names.indicator(scale::HomeWire::excitation_plus),
                                      names.indicator(scale::HomeWire::excitation_minus)),
                               nanovolt);
        }
        if (!theirs.missing && only == (per_cell ? c.cell_count - 1 : -1)) {
            comparison.compare("reference", ours.reference_V, theirs.reference_V, nanovolt);
        }
        for (int p = 0; p < c.cell_count; ++p) {
            if (per_cell && p != only) continue;
            comparison.compare("excitation at a cell's wires",
                               circuit::excitation_at_cell_V(box, c, p, ratios),
                               across(solution, wire_end_at(c, p, scale::Wire::excitation_plus),
                                      wire_end_at(c, p, scale::Wire::excitation_minus)),
                               nanovolt);
        }
    }
    comparison.agree("reference missing", ours.reference_missing == missing);
    comparison.compare("ratio", ours.ratio, sum, nanovolt_ratio);
}

/// A millivoltmeter of 10 Mohm across S+ and S- in the box.
template <typename Solve>
void compare_meter(const scale::Condition& c, const Forces& force_N, int position, Solve&& solve,
                   Comparison& comparison) {
    const bool per_cell = c.converter == scale::Converter::per_cell;
    Netlist n = draw_box(c, force_N, per_cell ? position : -1);
    const netlist::BusNames names(per_cell ? position : -1);
    const std::string plus = names.box(scale::Wire::signal_plus);
    const std::string minus = names.box(scale::Wire::signal_minus);
    n.resistor("meter", plus, minus, 10.0e6);
    auto&& solution = solve(n);
    comparison.compare("meter in the box",
                       circuit::signal_in_box_V(circuit::Box(c), position, core_ratios(c, force_N)),
                       across(solution, plus, minus), 1.0e-9);
}

/// One cell lifted from the box: its signal on its own supply, and the conductance between two of its wires.
/// Wires are named by the terminals they came from. `resolved_S` is what the solver's arithmetic leaves of an
/// insulation beside conductors of 1000 S.
template <typename Solve>
void compare_lifted(const scale::CellCondition& cell, double force_N, scale::Wire a, scale::Wire b,
                    double resolved_S, Solve&& solve, Comparison& comparison) {
    const double ratio = open_circuit_ratio(cell, force_N);
    const circuit::LiftedCell lifted(cell);
    const auto wire = [&](scale::Wire terminal) {
        return netlist::wire_end_node(0, netlist::wire_on(cell, terminal));
    };
    {
        Netlist n;
        netlist::draw_cell(0, cell, ratio, n);
        const std::string plus = wire(scale::Wire::signal_plus);
        const std::string minus = wire(scale::Wire::signal_minus);
        n.source("plus", wire(scale::Wire::excitation_plus), netlist::reference_node, 0.5);
        n.source("minus", netlist::reference_node, wire(scale::Wire::excitation_minus), 0.5);
        n.resistor("meter", plus, minus, 10.0e6);
        auto&& solution = solve(n);
        const double ours = lifted.signal_ratio(circuit::bridge_ratio(cell, force_N));
        const auto theirs = across(solution, plus, minus);
        if (theirs) {
            comparison.compare("lifted signal", ours, theirs, 1.0e-10);
        } else {
            // Nothing but the meter itself holds its leads: no current through it, so no volts across it.
            comparison.agree("lifted signal without a path", ours == 0.0);
        }
    }
    {
        Netlist n;
        netlist::draw_cell(0, cell, ratio, n);
        n.source("from", wire(a), netlist::reference_node, 0.5);
        n.source("to", netlist::reference_node, wire(b), 0.5);
        auto&& solution = solve(n);
        const double ampere = static_cast<double>(solution.ampere("from"));
        const double ours = lifted.resistance_ohm(a, b, circuit::bridge_ratio(cell, force_N));
        if (ampere == 0.0) {
            comparison.agree("lifted resistance is infinite", std::isinf(ours));
        } else {
            comparison.compare("lifted resistance", 1.0 / ours, ampere, resolved_S);
        }
    }
}

/// All of the above for one scale.
template <typename Solve>
void compare_everything(Random& random, const scale::Condition& c, const Forces& force_N, double resolved_S,
                        Solve&& solve, Comparison& comparison) {
    compare_box(c, force_N, solve, comparison);
    const int position = pick(random, c.cell_count);
    compare_meter(c, force_N, position, solve, comparison);
    const int cell = c.positions[static_cast<unsigned>(position)].cell;
    const int a = pick(random, scale::wire_count);
    const int b = (a + 1 + pick(random, scale::wire_count - 1)) % scale::wire_count;
    compare_lifted(c.cells[static_cast<unsigned>(cell)], force_N[static_cast<unsigned>(cell)],
                   static_cast<scale::Wire>(a), static_cast<scale::Wire>(b), resolved_S, solve, comparison);
}

}  // namespace cornerbench::oracle
