#include "firmware/circuit/bus.h"

#include "firmware/circuit/mesh.h"

namespace cornerbench::circuit {

using scale::HomeWire;
using scale::Wire;

namespace {

constexpr double shield_bond_ohm = 0.1;

/// Nodes of the whole bus: the kept ones, then from `kept_node_count` on the rest of BusNode.
constexpr int outer_count = supply_plus - scale::wire_count;
constexpr int node_count = kept_node_count + outer_count;

using BusMesh = Mesh<node_count>;

constexpr int bus(Wire wire) {
    return kept_bus + scale::index_of(wire);
}
constexpr int outer(int bus_node) {
    return kept_node_count + bus_node - scale::wire_count;
}

double home_ohm(const scale::Condition& c, HomeWire wire) {
    if (c.converter == scale::Converter::per_cell) return 0.0;
    return c.home_run_ohm[scale::index_of(wire)];
}

BusMesh mesh_beside_cells(const scale::Condition& c) {
    BusMesh mesh;
    const auto join = [&mesh](int a, int b, double ohm) { mesh.add(a, b, conductance(ohm)); };
    const bool sensed = c.converter == scale::Converter::summed && c.home_run_wires == 6;
    join(outer(indicator_e_plus), kept_supply_plus, c.source_ohm);
    join(outer(indicator_e_minus), kept_supply_minus, c.source_ohm);
    join(bus(Wire::excitation_plus), outer(indicator_e_plus), home_ohm(c, HomeWire::excitation_plus));
    join(bus(Wire::excitation_minus), outer(indicator_e_minus), home_ohm(c, HomeWire::excitation_minus));
    join(bus(Wire::signal_plus), outer(indicator_s_plus), home_ohm(c, HomeWire::signal_plus));
    join(bus(Wire::signal_minus), outer(indicator_s_minus), home_ohm(c, HomeWire::signal_minus));
    join(bus(Wire::shield), outer(indicator_shield), home_ohm(c, HomeWire::shield));
    if (sensed) {
        join(bus(Wire::excitation_plus), outer(sense_plus), home_ohm(c, HomeWire::sense_plus));
        join(bus(Wire::excitation_minus), outer(sense_minus), home_ohm(c, HomeWire::sense_minus));
        if (c.sense_fallback_ohm > 0.0) {
            join(outer(sense_plus), outer(indicator_e_plus), c.sense_fallback_ohm);
            join(outer(sense_minus), outer(indicator_e_minus), c.sense_fallback_ohm);
        }
    } else {
        join(outer(sense_plus), outer(indicator_e_plus), 0.0);
        join(outer(sense_minus), outer(indicator_e_minus), 0.0);
    }
    join(outer(indicator_s_plus), outer(indicator_e_minus), c.input_ohm);
    join(outer(indicator_s_minus), outer(indicator_e_minus), c.input_ohm);
    if (c.shield_bond == scale::ShieldBond::excitation_minus) {
        join(outer(indicator_shield), outer(indicator_e_minus), shield_bond_ohm);
    } else if (c.shield_bond == scale::ShieldBond::midpoint) {
        join(outer(indicator_shield), kept_supply_middle, shield_bond_ohm);
    }
    return mesh;
}

}  // namespace

Bus::Bus(const scale::Condition& c)
    : excitation_V_(c.excitation_V), least_reference_V_(least_reference * c.rated_excitation_V) {
    BusMesh whole = mesh_beside_cells(c);
    std::array<BusMesh::Star, outer_count> stars;
    for (int k = 0; k < outer_count; ++k) stars[k] = whole.eliminate(kept_node_count + k);
    whole.copy_first(siemens_);

    // Every outer node is a mean of kept ones and of outer ones that were eliminated after it.
    for (int k = outer_count - 1; k >= 0; --k) {
        if (stars[k].sum == 0.0) continue;
        KeptWeights& weights = outer_[k];
        for (int n = 0; n < kept_node_count; ++n) weights[n] = stars[k].to[n];
        for (int j = k + 1; j < outer_count; ++j) {
            const double to = stars[k].to[kept_node_count + j];
            if (to == 0.0) continue;
            for (int n = 0; n < kept_node_count; ++n) weights[n] += to * outer_[j][n];
        }
        for (double& weight : weights) weight /= stars[k].sum;
    }
    for (int n = 0; n < kept_node_count; ++n) {
        signal_weights_[n] = weights(indicator_s_plus)[n] - weights(indicator_s_minus)[n];
        reference_weights_[n] = weights(sense_plus)[n] - weights(sense_minus)[n];
    }
    const auto hangs = [this](BusNode node) {
        double sum = 0.0;
        for (const double weight : weights(node)) sum += weight;
        return sum == 0.0;
    };
    sense_hangs_ = hangs(sense_plus) || hangs(sense_minus);
}

BusReading Bus::find_kept(const PortSum& cells, double meter_siemens, BusStars<1>& stars,
                          KeptVolts<1>& kept) const {
    PortLanes<1> ports;
    for (int p = 0; p < port_pair_count; ++p) ports.siemens[p] = cells[p];
    MeshLanes<kept_node_count, 1> mesh;
    lay_cells<1>(siemens_, ports, mesh);
    mesh.siemens[pair_of(bus(Wire::signal_plus), bus(Wire::signal_minus))] += meter_siemens;
    solve_bus<1>(mesh, excitation_V_, stars, kept);
    std::array<BusReading, 1> reading;
    read_potentials<1>(kept, reading);
    return reading[0];
}

BusSolution Bus::all_potentials(const BusReading& reading, const KeptVolts<1>& kept) const {
    BusSolution s{reading, {}};
    for (int n = 0; n < scale::wire_count; ++n) s.volt[n] = kept.volt[kept_bus + n];
    for (int n = scale::wire_count; n < supply_plus; ++n) s.volt[n] = weigh<1>(weights(n), kept);
    s.volt[supply_plus] = kept.volt[kept_supply_plus];
    s.volt[supply_minus] = kept.volt[kept_supply_minus];
    return s;
}

BusSolution Bus::solve(const PortSum& cells, double meter_siemens) const {
    BusStars<1> stars;
    KeptVolts<1> kept;
    const BusReading reading = find_kept(cells, meter_siemens, stars, kept);
    return all_potentials(reading, kept);
}

BusSolution Bus::solve(const PortSum& cells, RatioGradient& gradient, double meter_siemens) const {
    BusStars<1> stars;
    KeptVolts<1> kept;
    const BusReading reading = find_kept(cells, meter_siemens, stars, kept);
    find_gradient(reading, stars, kept, gradient);
    return all_potentials(reading, kept);
}

BusReading Bus::read(const PortSum& cells) const {
    BusStars<1> stars;
    KeptVolts<1> kept;
    return find_kept(cells, 0.0, stars, kept);
}

BusReading Bus::read(const PortSum& cells, RatioGradient& gradient) const {
    BusStars<1> stars;
    KeptVolts<1> kept;
    const BusReading reading = find_kept(cells, 0.0, stars, kept);
    find_gradient(reading, stars, kept, gradient);
    return reading;
}

void Bus::find_gradient(const BusReading& s, const BusStars<1>& stars, const KeptVolts<1>& kept,
                        RatioGradient& gradient) const {
    gradient = {};
    if (s.reference_missing) return;

    // A siemens between a and b carries (v_a - v_b) amperes, and by reciprocity the ratio answers to it
    // through the potentials that a current into the converter's own terminals would raise. An outer node
    // hands its current to the kept ones by its weights.
    std::array<double, kept_node_count> current;
    for (int n = 0; n < kept_node_count; ++n) {
        current[n] = (signal_weights_[n] - s.ratio * reference_weights_[n]) / s.reference_V;
    }
    const auto hand_on = [&current](int node, const auto& star) {
        for (int k = 0; k < node; ++k) current[k] += current[node] * star.share[k];
    };
    hand_on(kept_bus + 4, stars.shield);
    hand_on(kept_bus + 3, stars.s_minus);
    hand_on(kept_bus + 2, stars.s_plus);
    hand_on(kept_bus + 1, stars.e_minus);
    std::array<double, kept_node_count> raised{};
    const auto raise = [&](int node, const auto& star) {
        if (star.inverse * least_siemens > 0.5) return;  // hangs free
        raised[node] = current[node] * star.inverse;
        for (int k = 0; k < node; ++k) raised[node] += raised[k] * star.share[k];
    };
    raise(kept_bus, stars.e_plus);
    raise(kept_bus + 1, stars.e_minus);
    raise(kept_bus + 2, stars.s_plus);
    raise(kept_bus + 3, stars.s_minus);
    raise(kept_bus + 4, stars.shield);
    for (int b = 1; b < scale::wire_count; ++b) {
        for (int a = 0; a < b; ++a) {
            const double up = raised[kept_bus + a] - raised[kept_bus + b];
            gradient[port_pair(a, b)] = -up * (kept.volt[kept_bus + a] - kept.volt[kept_bus + b]);
        }
    }
}

}  // namespace cornerbench::circuit
