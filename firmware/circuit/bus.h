#pragma once

#include <array>
#include <cmath>
#include <limits>

#include "firmware/circuit/bus_columns.h"
#include "firmware/circuit/bus_lanes.h"
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
    for (int p = 0; p < port_pair_count; ++p) sum[p] += cell.siemens[p];
}

/// The reference counts as missing below this share of the rated excitation.
inline constexpr double least_reference = 0.05;

/// What the converter makes of the bus.
struct BusReading {
    double signal_V = 0.0;     ///< at the converter's input
    double reference_V = 0.0;  ///< at its sense terminals
    double ratio = 0.0;        ///< signal over reference; 0 when the reference is missing
    bool reference_missing = false;
};

/// Potentials of the whole bus, and what the converter makes of them.
struct BusSolution : BusReading {
    std::array<double, bus_node_count> volt{};

    double between(int a, int b) const { return volt[a] - volt[b]; }
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

    /// The converter's view alone.
    BusReading read(const PortSum& cells) const;

    /// The same with the ratio's gradient.
    BusReading read(const PortSum& cells, RatioGradient& gradient) const;

    /// The same of many sets of cells side by side; bit for bit what `solve` says of each.
    template <int Lanes>
    void read(const PortLanes<Lanes>& cells, std::array<BusReading, Lanes>& readings) const {
        MeshLanes<kept_node_count, Lanes> mesh;
        BusStars<Lanes> stars;
        KeptVolts<Lanes> kept;
        lay_cells<Lanes>(siemens_, cells, mesh);
        solve_bus<Lanes>(mesh, all<Lanes>(excitation_V_), stars, kept);
        read_potentials<Lanes>(kept, readings);
    }

    /// Puts this bus into a column of many.
    template <int Columns>
    void copy_to(BusColumns<Columns>& buses, int column) const {
        for (int high = 0; high < scale::wire_count; ++high) {
            const double* to = siemens_ + pair_of(0, kept_bus + high);
            const double plus = to[kept_supply_plus];
            const double minus = to[kept_supply_minus];
            buses.held[high][column] = plus + minus + to[kept_supply_middle];
            buses.pull[high][column] = plus - minus;
            for (int low = 0; low < high; ++low)
                buses.siemens[port_pair(low, high)][column] = to[kept_bus + low];
            buses.signal[high][column] = signal_weights_[kept_bus + high];
            buses.reference[high][column] = reference_weights_[kept_bus + high];
        }
        buses.signal_of_supply[column] =
            signal_weights_[kept_supply_plus] - signal_weights_[kept_supply_minus];
        buses.reference_of_supply[column] =
            reference_weights_[kept_supply_plus] - reference_weights_[kept_supply_minus];
        buses.least_reference[column] = sense_hangs_ ? std::numeric_limits<double>::infinity()
                                                     : least_reference_V_ / (0.5 * excitation_V_);
    }

  private:
    template <int Lanes>
    void read_potentials(const KeptVolts<Lanes>& kept, std::array<BusReading, Lanes>& readings) const {
        const Lane<Lanes> signal = weigh<Lanes>(signal_weights_, kept);
        const Lane<Lanes> reference = weigh<Lanes>(reference_weights_, kept);
        double signal_V[Lanes];
        double reference_V[Lanes];
        store(signal, signal_V);
        store(reference, reference_V);
        for (int l = 0; l < Lanes; ++l) readings[l] = reading(signal_V[l], reference_V[l]);
    }

    BusReading reading(double signal_V, double reference_V) const {
        const bool missing = sense_hangs_ || !(std::fabs(reference_V) > least_reference_V_);
        return {signal_V, reference_V, missing ? 0.0 : signal_V / reference_V, missing};
    }

    const KeptWeights& weights(int outer) const { return outer_[outer - scale::wire_count]; }

    BusReading find_kept(const PortSum& cells, double meter_siemens, BusStars<1>& stars,
                         KeptVolts<1>& kept) const;
    BusSolution all_potentials(const BusReading& reading, const KeptVolts<1>& kept) const;
    void find_gradient(const BusReading& reading, const BusStars<1>& stars, const KeptVolts<1>& kept,
                       RatioGradient& gradient) const;

    double siemens_[kept_pair_count] = {};
    /// By BusNode from `indicator_s_plus` on.
    std::array<KeptWeights, supply_plus - scale::wire_count> outer_{};
    KeptWeights signal_weights_{};     ///< of S+ less S- at the converter
    KeptWeights reference_weights_{};  ///< of sense+ less sense-
    bool sense_hangs_ = false;         ///< nothing holds a sense terminal
    double excitation_V_ = 0.0;
    double least_reference_V_ = 0.0;
};

}  // namespace cornerbench::circuit
