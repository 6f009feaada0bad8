#include "firmware/circuit/bus.h"

#include <cmath>

namespace cornerbench::circuit {

using scale::HomeWire;
using scale::Wire;

namespace {

constexpr double shield_bond_ohm = 0.1;

constexpr int bus(Wire wire) {
    return scale::index_of(wire);
}

double home_ohm(const scale::Condition& c, HomeWire wire) {
    if (c.converter == scale::Converter::per_cell) return 0.0;
    return c.home_run_ohm[static_cast<unsigned>(scale::index_of(wire))];
}

}  // namespace

Bus::Bus(const scale::Condition& c) : excitation_V_(c.excitation_V) {
    // Bus nodes and supply poles are the kept ones; numbered so that they come first for merging.
    constexpr int kept = scale::wire_count + 3;
    constexpr std::array<int, bus_node_count> order = [] {
        std::array<int, bus_node_count> o{};
        int next = kept;
        for (int n = 0; n < bus_node_count; ++n) {
            const bool held = n >= supply_plus;
            o[static_cast<unsigned>(n)] = n < scale::wire_count ? n
                                          : held                ? scale::wire_count + n - supply_plus
                                                                : next++;
        }
        return o;
    }();
    constexpr std::array<int, bus_node_count> back = [] {
        std::array<int, bus_node_count> b{};
        constexpr int first = scale::wire_count + 3;
        int next = first;
        for (int n = 0; n < bus_node_count; ++n) {
            const int at = n < scale::wire_count ? n
                           : n >= supply_plus    ? scale::wire_count + n - supply_plus
                                                 : next++;
            b[static_cast<unsigned>(at)] = n;
        }
        return b;
    }();

    ElementList<bus_node_count, kept, 24> list;
    const auto join = [&](int a, int b, double ohm) {
        list.join(order[static_cast<unsigned>(a)], order[static_cast<unsigned>(b)], ohm);
    };
    const bool sensed = c.converter == scale::Converter::summed && c.home_run_wires == 6;
    join(indicator_e_plus, supply_plus, c.source_ohm);
    join(indicator_e_minus, supply_minus, c.source_ohm);
    join(bus(Wire::excitation_plus), indicator_e_plus, home_ohm(c, HomeWire::excitation_plus));
    join(bus(Wire::excitation_minus), indicator_e_minus, home_ohm(c, HomeWire::excitation_minus));
    join(bus(Wire::signal_plus), indicator_s_plus, home_ohm(c, HomeWire::signal_plus));
    join(bus(Wire::signal_minus), indicator_s_minus, home_ohm(c, HomeWire::signal_minus));
    join(bus(Wire::shield), indicator_shield, home_ohm(c, HomeWire::shield));
    if (sensed) {
        join(bus(Wire::excitation_plus), sense_plus, home_ohm(c, HomeWire::sense_plus));
        join(bus(Wire::excitation_minus), sense_minus, home_ohm(c, HomeWire::sense_minus));
        if (c.sense_fallback_ohm > 0.0) {
            join(sense_plus, indicator_e_plus, c.sense_fallback_ohm);
            join(sense_minus, indicator_e_minus, c.sense_fallback_ohm);
        }
    } else {
        join(sense_plus, indicator_e_plus, 0.0);
        join(sense_minus, indicator_e_minus, 0.0);
    }
    join(indicator_s_plus, indicator_e_minus, c.input_ohm);
    join(indicator_s_minus, indicator_e_minus, c.input_ohm);
    if (c.shield_bond == scale::ShieldBond::excitation_minus) {
        join(indicator_shield, indicator_e_minus, shield_bond_ohm);
    } else if (c.shield_bond == scale::ShieldBond::midpoint) {
        join(indicator_shield, supply_middle, shield_bond_ohm);
    }

    for (int i = 0; i < list.count(); ++i) {
        const Element e = list[i];
        if (e.a != e.b) {
            mesh_.add(back[static_cast<unsigned>(e.a)], back[static_cast<unsigned>(e.b)], 1.0 / e.ohm);
        }
    }
    for (int n = 0; n < bus_node_count; ++n) {
        alias_[static_cast<unsigned>(n)] =
            back[static_cast<unsigned>(list.node(order[static_cast<unsigned>(n)]))];
    }
    for (int k = 0; k < outer_count; ++k) outer_[static_cast<unsigned>(k)] = mesh_.eliminate(outer_first + k);
}

bool Bus::hangs(int outer) const {
    return alias_[static_cast<unsigned>(outer)] == outer &&
           outer_[static_cast<unsigned>(outer - outer_first)].sum == 0.0;
}

BusSolution Bus::substitute(const PortSum& cells, double meter_siemens, Stars& stars) const {
    BusMesh mesh = mesh_;
    for (int a = 0; a < scale::wire_count; ++a) {
        for (int b = a + 1; b < scale::wire_count; ++b) {
            const double g = cells[static_cast<unsigned>(port_pair(a, b))];
            if (g != 0.0) mesh.add(a, b, g);
        }
    }
    if (meter_siemens > 0.0) mesh.add(bus(Wire::signal_plus), bus(Wire::signal_minus), meter_siemens);
    for (int n = scale::wire_count - 1; n >= 0; --n) {
        stars.inner[static_cast<unsigned>(n)] = mesh.eliminate(n);
    }
    BusSolution s;
    s.volt[supply_plus] = 0.5 * excitation_V_;
    s.volt[supply_minus] = -0.5 * excitation_V_;
    for (int n = 0; n < scale::wire_count; ++n) {
        s.volt[static_cast<unsigned>(n)] = BusMesh::potential(stars.inner[static_cast<unsigned>(n)], s.volt);
    }
    for (int k = outer_count - 1; k >= 0; --k) {
        s.volt[static_cast<unsigned>(outer_first + k)] =
            BusMesh::potential(outer_[static_cast<unsigned>(k)], s.volt);
    }
    for (int n = 0; n < bus_node_count; ++n) {
        s.volt[static_cast<unsigned>(n)] = s.volt[static_cast<unsigned>(alias_[static_cast<unsigned>(n)])];
    }
    s.signal_V = s.volt[indicator_s_plus] - s.volt[indicator_s_minus];
    s.reference_V = s.volt[sense_plus] - s.volt[sense_minus];
    s.reference_missing = hangs(sense_plus) || hangs(sense_minus) ||
                          !(std::fabs(s.reference_V) > least_reference * excitation_V_);
    s.ratio = s.reference_missing ? 0.0 : s.signal_V / s.reference_V;
    return s;
}

BusSolution Bus::solve(const PortSum& cells, double meter_siemens) const {
    Stars stars;
    return substitute(cells, meter_siemens, stars);
}

BusSolution Bus::solve(const PortSum& cells, RatioGradient& gradient, double meter_siemens) const {
    Stars stars;
    const BusSolution s = substitute(cells, meter_siemens, stars);
    gradient = {};
    if (s.reference_missing) return s;

    // A siemens between a and b carries (v_a - v_b) amperes, and by reciprocity the ratio answers to it
    // through the potentials that a current into the converter's own terminals would raise.
    const auto stands_for = [this](int n) { return static_cast<unsigned>(alias_[static_cast<unsigned>(n)]); };
    BusMesh::Row current{};
    current[stands_for(indicator_s_plus)] += 1.0 / s.reference_V;
    current[stands_for(indicator_s_minus)] -= 1.0 / s.reference_V;
    current[stands_for(sense_plus)] -= s.ratio / s.reference_V;
    current[stands_for(sense_minus)] += s.ratio / s.reference_V;
    for (int k = 0; k < outer_count; ++k) {
        BusMesh::hand_on(outer_[static_cast<unsigned>(k)], current[static_cast<unsigned>(outer_first + k)],
                         current);
    }
    for (int n = scale::wire_count - 1; n >= 0; --n) {
        BusMesh::hand_on(stars.inner[static_cast<unsigned>(n)], current[static_cast<unsigned>(n)], current);
    }
    BusMesh::Row adjoint{};
    for (int n = 0; n < scale::wire_count; ++n) {
        adjoint[static_cast<unsigned>(n)] = BusMesh::potential(stars.inner[static_cast<unsigned>(n)], adjoint,
                                                               current[static_cast<unsigned>(n)]);
    }
    for (int a = 0; a < scale::wire_count; ++a) {
        for (int b = a + 1; b < scale::wire_count; ++b) {
            const double raised = adjoint[static_cast<unsigned>(a)] - adjoint[static_cast<unsigned>(b)];
            const double across = s.volt[static_cast<unsigned>(a)] - s.volt[static_cast<unsigned>(b)];
            gradient[static_cast<unsigned>(port_pair(a, b))] = -raised * across;
        }
    }
    return s;
}

}  // namespace cornerbench::circuit
