#pragma once

#include "firmware/circuit/cell_network.h"
#include "firmware/circuit/mesh_lanes.h"

/// Cells side by side, one to a lane, from their frames to their ports.
namespace cornerbench::circuit {

/// What the arms of a bridge depend on beside the load.
template <int Lanes>
struct BridgeLanes {
    Lane<Lanes> delta_per_ratio;  ///< R_in / R_out
    Lane<Lanes> output_ohm;
    Lane<Lanes> change_ohm[scale::arm_count];
};

/// Ohms of a bridge's four arms, none below `least_arm_ohm`.
template <int Lanes>
struct ArmLanes {
    Lane<Lanes> ohm[scale::arm_count];
};

/// Conductances that cells lay between the five nodes of the bus.
template <int Lanes>
struct PortLanes {
    Lane<Lanes> siemens[port_pair_count];

    PortLanes() {
        for (auto& g : siemens) g = all<Lanes>(0.0);
    }
};

/// Ohms of the arms at an open-circuit ratio: with delta = ratio * R_in / R_out they are R_out (1 - delta),
/// (1 + delta), (1 - delta), (1 + delta), each with its own change.
template <int Lanes>
void find_arms(const BridgeLanes<Lanes>& bridge, const Lane<Lanes>& ratio, ArmLanes<Lanes>& arms) {
    const Lane<Lanes> one = all<Lanes>(1.0);
    const Lane<Lanes> delta = ratio * bridge.delta_per_ratio;
    const Lane<Lanes> low = bridge.output_ohm * (one - delta);
    const Lane<Lanes> high = bridge.output_ohm * (one + delta);
    for (int i = 0; i < scale::arm_count; ++i) {
        arms.ohm[i] = larger((i % 2 == 0 ? low : high) + bridge.change_ohm[i], all<Lanes>(least_arm_ohm));
    }
}

/// Puts the arms into a cell whose frame has `frame(pair)` between ports and corners, takes the corners out,
/// and adds what is left between the ports to `sum`.
template <int Lanes, typename Frame>
void close_frame(const Frame& frame, const ArmLanes<Lanes>& arms, PortLanes<Lanes>& sum) {
    const Lane<Lanes> one = all<Lanes>(1.0);
    MeshLanes<kept_cell_nodes, Lanes> mesh;
    StarLanes<corner_s_minus, Lanes> s_minus;
    StarLanes<corner_s_plus, Lanes> s_plus;
    StarLanes<inner_e_minus, Lanes> e_minus;
    StarLanes<inner_e_plus, Lanes> e_plus;
    for (int k = 0; k < corner_s_minus; ++k) {
        mesh.siemens[pair_of(k, corner_s_minus)] = frame(pair_of(k, corner_s_minus));
    }
    mesh.siemens[pair_of(inner_e_minus, corner_s_minus)] += one / arms.ohm[2];
    mesh.siemens[pair_of(inner_e_plus, corner_s_minus)] += one / arms.ohm[3];
    mesh.eliminate(s_minus, frame);
    mesh.siemens[pair_of(inner_e_plus, corner_s_plus)] += one / arms.ohm[0];
    mesh.siemens[pair_of(inner_e_minus, corner_s_plus)] += one / arms.ohm[1];
    mesh.eliminate(s_plus);
    mesh.eliminate(e_minus);
    mesh.eliminate(e_plus);
    for (int p = 0; p < port_pair_count; ++p) sum.siemens[p] += mesh.siemens[p];
}

}  // namespace cornerbench::circuit
