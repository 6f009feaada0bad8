#pragma once

#include <array>

#include "firmware/circuit/mesh.h"
#include "firmware/circuit/mesh_lanes.h"
#include "firmware/scale/condition.h"

/// One cell's bridge with its cable, terminals and trim, down to its five ports on the bus.
namespace cornerbench::circuit {

/// Nodes of a cell's network. The five ports carry the numbers of scale::Wire.
enum CellNode : unsigned char {
    port_first = 0,                    // E+ E- S+ S- shield of the bus
    inner_e_plus = scale::wire_count,  // bridge corners, inside the compensation resistors
    inner_e_minus,
    corner_s_plus,  // bridge corner and cell terminal in one
    corner_s_minus,
    cell_shield,
    terminal_e_plus,  // the cell's own terminals
    terminal_e_minus,
    landed_s_plus,  // signal terminals ahead of the mixing resistors
    landed_s_minus,
    network_node_count,
    wire_end_first = network_node_count,  // box ends of the five conductors, by wire: in series, so no node
    cell_node_count = wire_end_first + scale::wire_count
};

inline constexpr int kept_cell_nodes = corner_s_minus + 1;  ///< ports and bridge corners

using Arms = std::array<double, scale::arm_count>;

/// Open-circuit ratio S/E at the cell's terminals under `force_N`, V/V.
///
/// orientation * s * (f / capacity) + zero, s = rated (1 + 2 r_cable / R_in) for the cable as delivered (a
/// four-wire cell is rated with its cable), plus non-linearity (a parabola that is zero at no load and at
/// capacity), hysteresis (the same shape, on decreasing load), creep and temperature.
/// `decreasing` and `creep_share` are 0 on a fresh increasing load and 1 on a decreasing, fully crept one.
double bridge_ratio(const scale::CellCondition& cell, double force_N, double decreasing = 0.0,
                    double creep_share = 0.0);

/// Change of that ratio per newton, V/V/N, of a straight cell.
double bridge_ratio_per_N(const scale::CellCondition& cell);

/// No arm of a bridge falls below this, however wild the ratio.
inline constexpr double least_arm_ohm = 1.0e-3;

/// Ohms of the four arms at an open-circuit ratio, in the order of scale::CellCondition::arm_change_ohm. With
/// delta = ratio * R_in / R_out they are R_out (1 - delta), (1 + delta), (1 - delta), (1 + delta).
Arms arm_ohms(const scale::CellCondition& cell, double ratio);

/// Everything but the four arms: compensation, insulation, conductors, leaks, and with `position` the box's
/// terminals, trim and mixing resistors. Without a position the wires hang free, lifted from the box: the
/// ports are then their box ends, named by the terminals they came from.
Mesh<network_node_count> mesh_beside_arms(const scale::CellCondition& cell,
                                          const scale::BoxPosition* position, const scale::Trim& trim);

/// Lays a cell's arms between its bridge corners.
template <int Nodes>
void add_arms(const Arms& arms, Mesh<Nodes>& mesh) {
    mesh.add(inner_e_plus, corner_s_plus, 1.0 / arms[0]);
    mesh.add(corner_s_plus, inner_e_minus, 1.0 / arms[1]);
    mesh.add(inner_e_minus, corner_s_minus, 1.0 / arms[2]);
    mesh.add(corner_s_minus, inner_e_plus, 1.0 / arms[3]);
}

inline constexpr int port_pair_count = scale::wire_count * (scale::wire_count - 1) / 2;

/// Index of a pair of ports a < b among the ten.
constexpr int port_pair(int a, int b) {
    return pair_of(a, b);
}

/// Conductances between the five ports: all that the bus can know of a cell.
struct CellPorts {
    std::array<double, port_pair_count> siemens{};
};

inline constexpr int frame_pair_count = kept_cell_nodes * (kept_cell_nodes - 1) / 2;

/// Reduces as many cells as there are lanes to their frames side by side: all but the arms, between ports and
/// bridge corners. A lane without a cell is an open circuit.
template <int Lanes>
class FrameBuilder {
  public:
    explicit FrameBuilder(const scale::Trim& trim) : trim_(trim) {}

    /// Lays a cell with its cable and screws, as they land at `position`, and the trim into `lane`.
    void wire(int lane, const scale::CellCondition& cell, const scale::BoxPosition& position);

    /// Conductances by `pair_of`.
    void reduce(std::array<std::array<double, Lanes>, frame_pair_count>& frames) const;

  private:
    scale::Trim trim_;
    std::array<std::array<double, Lanes>, network_node_count*(network_node_count - 1) / 2> siemens_{};
};

/// A cell reduced to its bridge corners and its ports. The arms alone change with the load, so a new load
/// costs four eliminations.
class CellFrame {
  public:
    CellFrame() = default;
    CellFrame(const scale::CellCondition& cell, const scale::BoxPosition& position, const scale::Trim& trim);

    /// The ports with these arms in the bridge.
    CellPorts close(const Arms& arms) const;

    /// Conductance between two kept nodes (ports and corners) without the arms.
    double between(int a, int b) const { return siemens_[a < b ? pair_of(a, b) : pair_of(b, a)][0]; }

  private:
    std::array<std::array<double, 1>, frame_pair_count> siemens_{};
};

/// Potentials of every node of a cell in the box when its ports are held at `port_V`.
std::array<double, cell_node_count> cell_potentials(const scale::CellCondition& cell,
                                                    const scale::BoxPosition& position,
                                                    const scale::Trim& trim, double ratio,
                                                    const std::array<double, scale::wire_count>& port_V);

}  // namespace cornerbench::circuit
