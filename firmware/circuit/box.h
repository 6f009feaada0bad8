#pragma once

#include <array>
#include <span>

#include "firmware/circuit/bus.h"
#include "firmware/circuit/cell_lanes.h"

/// The whole electrical chain of one scale: from each cell's open-circuit ratio to what the converter reads.
namespace cornerbench::circuit {

/// One ratio per box position, V/V.
using Ratios = std::array<double, scale::max_cells>;

/// What the box puts out.
struct BoxOutput {
    double ratio = 0.0;  ///< summed: the converter's; per cell: sum of gain times channel
    Ratios channel{};    ///< per cell: each channel's ratio
    double reference_V = 0.0;
    bool reference_missing = false;
};

/// Reduced network of one condition. Changing a cell costs that cell's reduction alone.
class Box {
  public:
    Box() = default;
    /// Reduces every cell of the condition.
    explicit Box(const scale::Condition& condition);

    /// Reduces the cell at `position` again after an edit of it, its position or its cable.
    void replace(int position, const scale::Condition& condition);

    /// Takes `position` as it is in `other`, a box with as many.
    void restore(int position, const Box& other);

    /// Ports of the cell at `position` when its bridge stands at `bridge_ratio`.
    CellPorts ports(int position, double bridge_ratio) const;

    /// Adds the same at many ratios side by side to `sum`, bit for bit.
    template <int Lanes>
    void add_ports(int position, const Lane<Lanes>& bridge_ratio, PortLanes<Lanes>& sum) const {
        const Group& group = groups_[position / group_size];
        const int at = position % group_size;
        BridgeLanes<Lanes> bridge;
        ArmLanes<Lanes> arms;
        bridge.delta_per_ratio = all<Lanes>(group.delta_per_ratio[at]);
        bridge.output_ohm = all<Lanes>(group.output_ohm[at]);
        for (int i = 0; i < scale::arm_count; ++i) bridge.change_ohm[i] = all<Lanes>(group.change_ohm[i][at]);
        find_arms<Lanes>(bridge, bridge_ratio, arms);
        close_frame<Lanes>([&](int pair) { return all<Lanes>(group.siemens[pair][at]); }, arms, sum);
    }

    /// Output at one bridge ratio per position.
    BoxOutput output(std::span<const double> bridge_ratios) const;

    const Bus& bus() const { return bus_; }
    int count() const { return count_; }
    bool per_cell() const { return converter_ == scale::Converter::per_cell; }
    /// Factor on the position's channel in the sum of a per-cell box.
    double gain(int position) const { return gain_[position]; }

  private:
    /// Positions are solved this many at a time.
    static constexpr int group_size = 4;
    static constexpr int group_count = scale::max_cells / group_size;

    /// Frames and bridges of cells side by side; a lane without a cell is an open circuit.
    struct Group {
        using Numbers = std::array<double, group_size>;

        std::array<Numbers, frame_pair_count> siemens;
        Numbers delta_per_ratio;
        Numbers output_ohm;
        std::array<Numbers, scale::arm_count> change_ohm;
    };

    /// Puts down what the arms of the cell at `position` depend on.
    void note_bridge(int position, const scale::Condition& condition);

    /// Ports of a group's cells at their ratios.
    void group_ports(int group, std::span<const double> bridge_ratios, PortLanes<group_size>& out) const;

    int count_ = 0;
    scale::Converter converter_ = scale::Converter::summed;
    Bus bus_;
    std::array<Group, group_count> groups_;  ///< those that hold the first `count_` positions
    std::array<double, scale::max_cells> gain_{};
};

/// Volts between the E+ and E- wires of the cell at `position`, where they land in the box.
double excitation_at_cell_V(const Box& box, const scale::Condition& condition, int position,
                            std::span<const double> bridge_ratios);

/// Volts between S+ and S- in the box with a millivoltmeter held there: of the bus, or in a per-cell box of
/// the cell at `position`.
double signal_in_box_V(const Box& box, int position, std::span<const double> bridge_ratios);

/// Volts between E+ and E- on the box's bus, or at the indicator's terminals.
double excitation_in_box_V(const Box& box, std::span<const double> bridge_ratios);
double excitation_at_indicator_V(const Box& box, std::span<const double> bridge_ratios);

}  // namespace cornerbench::circuit
