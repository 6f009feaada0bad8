#pragma once

#include "firmware/circuit/cell_lanes.h"

/// Cells whose networks all have the same shape, in closed form: arms as the load has them, no leaks, every
/// wire under its own screw. A wire may be open.
///
/// With the compensation resistors r and the arms a and b, taking the bridge's two inner corners out leaves
/// conductances of b, a and 2 r over r (a + b) + a b between the terminals. The shield's star is folded in by
/// whoever fills one of these; the four wires are then laid in series, one terminal after another.
namespace cornerbench::circuit {

template <int Lanes>
struct SoundCell {
    Lane<Lanes> output_ohm;
    Lane<Lanes> delta_per_ratio;   ///< R_in / R_out
    Lane<Lanes> compensation_ohm;  ///< of each of the two
    Lane<Lanes> between;           ///< siemens through the cell's shield between any two terminals
    Lane<Lanes> to_shield;         ///< siemens from each terminal to the shield in the box
    Lane<Lanes> lead[scale::live_wire_count];  ///< siemens of wire, screw and what trims in series
    Lane<Lanes> shunt;                         ///< siemens across the signal pair; of shunted boxes alone
    Lane<Lanes> mixing;                        ///< siemens in each signal lead behind the shunt
};

/// Lays `siemens` in series at terminal `Node` of a mesh of five: the terminal's star is eliminated, and the
/// far end of the lead takes its place.
template <int Node, int Lanes>
void lay_in_series(const Lane<Lanes>& siemens, PortLanes<Lanes>& mesh) {
    constexpr int others = scale::wire_count - 1;
    constexpr auto other = [](int k) { return k < Node ? k : k + 1; };
    constexpr auto pair = [](int a, int b) { return a < b ? pair_of(a, b) : pair_of(b, a); };
    Lane<Lanes> to[others];
    for (int k = 0; k < others; ++k) to[k] = mesh.siemens[pair(Node, other(k))];
    const Lane<Lanes> sum = (to[0] + to[1]) + (to[2] + to[3]) + (siemens + all<Lanes>(least_siemens));
    const Lane<Lanes> inverse = all<Lanes>(1.0) / sum;
    for (int high = 0; high < others; ++high) {
        const Lane<Lanes> share = to[high] * inverse;
        for (int low = 0; low < high; ++low) mesh.siemens[pair(other(low), other(high))] += share * to[low];
        mesh.siemens[pair(Node, other(high))] = share * siemens;
    }
}

/// Adds the ports of cells at their bridge ratios to `sum`.
template <bool Shunted, int Lanes>
void add_sound_cell(const SoundCell<Lanes>& cell, const Lane<Lanes>& ratio, PortLanes<Lanes>& sum) {
    constexpr int e_plus = scale::index_of(scale::Wire::excitation_plus);
    constexpr int e_minus = scale::index_of(scale::Wire::excitation_minus);
    constexpr int s_plus = scale::index_of(scale::Wire::signal_plus);
    constexpr int s_minus = scale::index_of(scale::Wire::signal_minus);
    constexpr int shield = scale::index_of(scale::Wire::shield);
    const Lane<Lanes> one = all<Lanes>(1.0);
    const Lane<Lanes> least = all<Lanes>(least_arm_ohm);
    const Lane<Lanes> delta = ratio * cell.delta_per_ratio;
    const Lane<Lanes> a = larger(cell.output_ohm * (one - delta), least);
    const Lane<Lanes> b = larger(cell.output_ohm * (one + delta), least);
    const Lane<Lanes> inverse = one / (cell.compensation_ohm * (a + b) + a * b);
    const Lane<Lanes> beside = b * inverse + cell.between;
    const Lane<Lanes> across = a * inverse + cell.between;

    PortLanes<Lanes> mesh;
    mesh.siemens[port_pair(e_plus, e_minus)] = cell.between;
    mesh.siemens[port_pair(e_plus, s_plus)] = beside;
    mesh.siemens[port_pair(e_minus, s_minus)] = beside;
    mesh.siemens[port_pair(e_minus, s_plus)] = across;
    mesh.siemens[port_pair(e_plus, s_minus)] = across;
    mesh.siemens[port_pair(s_plus, s_minus)] =
        (cell.compensation_ohm + cell.compensation_ohm) * inverse + cell.between;
    for (int w = 0; w < scale::live_wire_count; ++w) mesh.siemens[port_pair(w, shield)] = cell.to_shield;
    lay_in_series<s_minus, Lanes>(cell.lead[s_minus], mesh);
    lay_in_series<s_plus, Lanes>(cell.lead[s_plus], mesh);
    lay_in_series<e_minus, Lanes>(cell.lead[e_minus], mesh);
    lay_in_series<e_plus, Lanes>(cell.lead[e_plus], mesh);
    if constexpr (Shunted) {
        mesh.siemens[port_pair(s_plus, s_minus)] += cell.shunt;
        lay_in_series<s_minus, Lanes>(cell.mixing, mesh);
        lay_in_series<s_plus, Lanes>(cell.mixing, mesh);
    }
    for (int p = 0; p < port_pair_count; ++p) sum.siemens[p] += mesh.siemens[p];
}

}  // namespace cornerbench::circuit
