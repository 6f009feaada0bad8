#pragma once

#include "firmware/circuit/cell_lanes.h"

/// Cells whose networks all have the same shape, in closed form: arms as the load has them, no leaks, every
/// wire under its own screw. A wire may be open.
///
/// With the compensation resistors r and the arms a and b, taking the bridge's two inner corners out leaves
/// conductances of b, a and 2 r over r (a + b) + a b between the terminals. The shield's star is folded in by
/// whoever fills one of these; the four wires are then laid in series, one terminal after another.
namespace cornerbench::circuit {

/// What one such cell's ports depend on beside its load, one cell to a lane: resistances in ohm, else
/// siemens.
template <int Lanes>
struct SoundCell {
    Lane<Lanes> output_ohm;
    Lane<Lanes> delta_per_ratio;   ///< R_in / R_out
    Lane<Lanes> compensation_ohm;  ///< of each of the two
    Lane<Lanes> between;           ///< siemens through the cell's shield between any two terminals
    Lane<Lanes> to_shield;         ///< siemens from each terminal to the shield in the box
    /// Siemens of wire, screw and what trims in series; `least_siemens` of an open one, so that a cell that
    /// hangs free divides by that instead of by zero.
    Lane<Lanes> lead[scale::live_wire_count];
    Lane<Lanes> shunt;   ///< siemens across the signal pair; of shunted boxes alone
    Lane<Lanes> mixing;  ///< siemens in each signal lead behind the shunt
};

/// Place of the pair of two terminals, in either order.
constexpr int pair_either_way(int a, int b) {
    return a < b ? pair_of(a, b) : pair_of(b, a);
}

/// Lays leads in series at terminals `A` and `B` of a mesh of five, whose other terminals are `C`: both stars
/// are eliminated at once, and the far ends of the leads take the terminals' places. The determinant of the
/// two nodes' equations is written without a subtraction. One quotient instead of two, and written out: what
/// lies between two steps stays in registers.
template <int A, int B, int C0, int C1, int C2, int Lanes>
[[gnu::always_inline]] inline void lay_in_series(const Lane<Lanes>& lead_a, const Lane<Lanes>& lead_b,
                                                 PortLanes<Lanes>& mesh) {
    auto& g = mesh.siemens;
    const Lane<Lanes> between = g[pair_either_way(A, B)];
    const Lane<Lanes> a0 = g[pair_either_way(A, C0)];
    const Lane<Lanes> a1 = g[pair_either_way(A, C1)];
    const Lane<Lanes> a2 = g[pair_either_way(A, C2)];
    const Lane<Lanes> b0 = g[pair_either_way(B, C0)];
    const Lane<Lanes> b1 = g[pair_either_way(B, C1)];
    const Lane<Lanes> b2 = g[pair_either_way(B, C2)];
    const Lane<Lanes> from_a = (a0 + a1) + (a2 + lead_a);
    const Lane<Lanes> from_b = (b0 + b1) + (b2 + lead_b);
    const Lane<Lanes> inverse = all<Lanes>(1.0) / (between * (from_a + from_b) + from_a * from_b);
    const Lane<Lanes> ohm_a = (between + from_b) * inverse;
    const Lane<Lanes> ohm_b = (between + from_a) * inverse;
    const Lane<Lanes> ohm_both = between * inverse;
    const Lane<Lanes> share_a0 = ohm_a * a0 + ohm_both * b0;
    const Lane<Lanes> share_b0 = ohm_both * a0 + ohm_b * b0;
    const Lane<Lanes> share_a1 = ohm_a * a1 + ohm_both * b1;
    const Lane<Lanes> share_b1 = ohm_both * a1 + ohm_b * b1;
    const Lane<Lanes> share_a2 = ohm_a * a2 + ohm_both * b2;
    const Lane<Lanes> share_b2 = ohm_both * a2 + ohm_b * b2;
    g[pair_either_way(C0, C1)] += share_a0 * a1 + share_b0 * b1;
    g[pair_either_way(C0, C2)] += share_a0 * a2 + share_b0 * b2;
    g[pair_either_way(C1, C2)] += share_a1 * a2 + share_b1 * b2;
    g[pair_either_way(A, C0)] = share_a0 * lead_a;
    g[pair_either_way(A, C1)] = share_a1 * lead_a;
    g[pair_either_way(A, C2)] = share_a2 * lead_a;
    g[pair_either_way(B, C0)] = share_b0 * lead_b;
    g[pair_either_way(B, C1)] = share_b1 * lead_b;
    g[pair_either_way(B, C2)] = share_b2 * lead_b;
    g[pair_either_way(A, B)] = ohm_both * lead_a * lead_b;
}

/// Adds the ports of cells at their bridge ratios to `sum`.
template <bool Shunted, int Lanes>
[[gnu::always_inline]] inline void add_sound_cell(const SoundCell<Lanes>& cell, const Lane<Lanes>& ratio,
                                                  PortLanes<Lanes>& sum) {
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
    lay_in_series<s_plus, s_minus, e_plus, e_minus, shield, Lanes>(cell.lead[s_plus], cell.lead[s_minus],
                                                                   mesh);
    lay_in_series<e_plus, e_minus, s_plus, s_minus, shield, Lanes>(cell.lead[e_plus], cell.lead[e_minus],
                                                                   mesh);
    if constexpr (Shunted) {
        mesh.siemens[port_pair(s_plus, s_minus)] += cell.shunt;
        lay_in_series<s_plus, s_minus, e_plus, e_minus, shield, Lanes>(cell.mixing, cell.mixing, mesh);
    }
    for (int p = 0; p < port_pair_count; ++p) sum.siemens[p] += mesh.siemens[p];
}

}  // namespace cornerbench::circuit
