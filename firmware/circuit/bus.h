#pragma once

#include <array>

#include "firmware/circuit/cell_network.h"

/// The summing bus with its home run, the converter's input and the excitation supply.
namespace cornerbench::circuit {

/// Nodes beside the five of the bus (0 to 4, by scale::Wire).
enum BusNode : unsigned char {
    indicator_s_plus = scale::wire_count,
    indicator_s_minus,
    sense_plus,
    sense_minus,
    indicator_shield,
    indicator_e_plus,
    indicator_e_minus,
    supply_plus,  // held
    supply_minus,
    supply_middle,
    bus_node_count
};

/// All conductances that cells lay between the five bus nodes.
using PortSum = std::array<double, port_pair_count>;

inline void add_ports(PortSum& sum, const CellPorts& cell) {
    for (int p = 0; p < port_pair_count; ++p) {
        sum[static_cast<unsigned>(p)] += cell.siemens[static_cast<unsigned>(p)];
    }
}

/// Potentials of the whole bus, and what the converter makes of them.
struct BusSolution {
    std::array<double, bus_node_count> volt{};
    double signal_V = 0.0;     ///< at the converter's input
    double reference_V = 0.0;  ///< at its sense terminals
    double ratio = 0.0;        ///< signal over reference; 0 when the reference is missing
    bool reference_missing = false;

    double between(int a, int b) const {
        return volt[static_cast<unsigned>(a)] - volt[static_cast<unsigned>(b)];
    }
    /// Excitation in the box.
    double box_V() const {
        return between(scale::index_of(scale::Wire::excitation_plus),
                       scale::index_of(scale::Wire::excitation_minus));
    }
    /// Excitation at the indicator's terminals.
    double indicator_V() const { return between(indicator_e_plus, indicator_e_minus); }
    /// Between S+ and S- in the box.
    double box_signal_V() const {
        return between(scale::index_of(scale::Wire::signal_plus), scale::index_of(scale::Wire::signal_minus));
    }
};

/// Change of the ratio per siemens laid between two bus nodes, by port pair.
using RatioGradient = std::array<double, port_pair_count>;

/// The reference counts as missing below this share of the supply.
inline constexpr double least_reference = 0.05;

/// Everything on the bus but the cells, reduced once: solving for a set of cells eliminates five nodes.
class Bus {
  public:
    Bus() = default;
    /// The bus of `condition`; for a per-cell box the one cell's bus inside the box, reference there.
    explicit Bus(const scale::Condition& condition);

    /// `meter_siemens` lies between S+ and S- in the box, for a meter held there.
    BusSolution solve(const PortSum& cells, double meter_siemens = 0.0) const;

    /// The same with the ratio's gradient, by the network's reciprocity: one more back substitution.
    BusSolution solve(const PortSum& cells, RatioGradient& gradient, double meter_siemens = 0.0) const;

  private:
    using BusMesh = Mesh<bus_node_count>;
    static constexpr int outer_first = scale::wire_count;
    static constexpr int outer_count = supply_plus - scale::wire_count;

    struct Stars {
        std::array<BusMesh::Star, scale::wire_count> inner{};
    };

    /// True for an outer node that nothing connects.
    bool hangs(int outer) const;

    BusSolution substitute(const PortSum& cells, double meter_siemens, Stars& stars) const;

    BusMesh mesh_;
    std::array<BusMesh::Star, outer_count> outer_{};
    std::array<int, bus_node_count> alias_{};
    double excitation_V_ = 0.0;
};

}  // namespace cornerbench::circuit
