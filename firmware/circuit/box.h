#pragma once

#include <array>
#include <span>

#include "firmware/circuit/bus.h"
#include "firmware/circuit/cell_network.h"

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
    explicit Box(const scale::Condition& condition);

    /// Reduces the cell at `position` again after an edit of it, its position or its cable.
    void replace(int position, const scale::Condition& condition);

    /// Takes `position` as it is in `other`, a box with as many.
    void restore(int position, const Box& other) {
        frames_[static_cast<unsigned>(position)] = other.frames_[static_cast<unsigned>(position)];
        bridges_[static_cast<unsigned>(position)] = other.bridges_[static_cast<unsigned>(position)];
        gain_[static_cast<unsigned>(position)] = other.gain_[static_cast<unsigned>(position)];
    }

    /// Ports of the cell at `position` when its bridge stands at `bridge_ratio`.
    CellPorts ports(int position, double bridge_ratio) const;

    /// Output at one bridge ratio per position.
    BoxOutput output(std::span<const double> bridge_ratios) const;

    const Bus& bus() const { return bus_; }
    int count() const { return count_; }
    bool per_cell() const { return converter_ == scale::Converter::per_cell; }
    double gain(int position) const { return gain_[static_cast<unsigned>(position)]; }

  private:
    int count_ = 0;
    scale::Converter converter_ = scale::Converter::summed;
    Bus bus_;
    std::array<CellFrame, scale::max_cells> frames_{};
    /// What the arms depend on, by position.
    struct BridgeOhms {
        double input_ohm = 0.0;
        double output_ohm = 0.0;
        Arms change_ohm{};
    };
    std::array<BridgeOhms, scale::max_cells> bridges_{};
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
