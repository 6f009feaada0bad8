#pragma once

#include <array>

#include "firmware/circuit/bus_lanes.h"

/// Buses that differ, solved side by side for what the converter reads.
namespace cornerbench::circuit {

/// One bus to a column, as it is without its cells. The supply's poles are held, so all that counts of a
/// node's conductances to them is their sum and how they pull, in half excitations. Filled by `Bus::copy_to`.
template <int Columns>
struct BusColumns {
    using Row = std::array<double, Columns>;

    std::array<Row, port_pair_count> siemens;   ///< between the bus's five nodes
    std::array<Row, scale::wire_count> held;    ///< siemens to the supply's poles and its middle
    std::array<Row, scale::wire_count> pull;    ///< siemens to its plus less those to its minus
    std::array<Row, scale::wire_count> signal;  ///< weights of the nodes in the converter's signal
    std::array<Row, scale::wire_count> reference;
    Row signal_of_supply;
    Row reference_of_supply;
    Row least_reference;  ///< in half excitations; infinite where nothing holds a sense terminal
};

/// What is left of the buses in some columns while their nodes are eliminated, the last first.
template <int Lanes>
struct HeldBus {
    Lane<Lanes> siemens[port_pair_count];
    Lane<Lanes> held[scale::wire_count];
    Lane<Lanes> pull[scale::wire_count];
    Lane<Lanes> volt[scale::wire_count];  ///< in half excitations

    /// Eliminates the nodes below `Count`, and finds their potentials.
    template <int Count>
    [[gnu::always_inline]] inline void solve() {
        if constexpr (Count > 0) {
            constexpr int node = Count - 1;
            const Lane<Lanes>* to = siemens + pair_of(0, node);
            Lane<Lanes> sum = held[node] + all<Lanes>(least_siemens);
            for (int k = 0; k < node; ++k) sum += to[k];
            const Lane<Lanes> inverse = all<Lanes>(1.0) / sum;
            Lane<Lanes> share[scale::wire_count];
            for (int k = 0; k < node; ++k) {
                share[k] = to[k] * inverse;
                held[k] += share[k] * held[node];
                pull[k] += share[k] * pull[node];
                for (int j = 0; j < k; ++j) siemens[pair_of(j, k)] += share[k] * to[j];
            }
            solve<node>();
            volt[node] = pull[node] * inverse;
            for (int k = 0; k < node; ++k) volt[node] += share[k] * volt[k];
        }
    }
};

/// Signal and reference, in half excitations, of the buses in columns `first` on with their `cells`.
template <int Lanes, int Columns>
[[gnu::always_inline]] inline void read_columns(const BusColumns<Columns>& buses, int first,
                                                const PortLanes<Lanes>& cells, Lane<Lanes>& signal,
                                                Lane<Lanes>& reference) {
    const auto at = [first](const auto& row) { return load<Lanes>(row.data() + first); };
    HeldBus<Lanes> bus;
    for (int p = 0; p < port_pair_count; ++p) bus.siemens[p] = at(buses.siemens[p]) + cells.siemens[p];
    for (int n = 0; n < scale::wire_count; ++n) {
        bus.held[n] = at(buses.held[n]);
        bus.pull[n] = at(buses.pull[n]);
    }
    bus.template solve<scale::wire_count>();
    signal = at(buses.signal_of_supply);
    reference = at(buses.reference_of_supply);
    for (int n = 0; n < scale::wire_count; ++n) {
        signal += at(buses.signal[n]) * bus.volt[n];
        reference += at(buses.reference[n]) * bus.volt[n];
    }
}

}  // namespace cornerbench::circuit
