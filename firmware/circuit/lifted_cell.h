#pragma once

#include "firmware/circuit/cell_network.h"

/// A cell whose wires are lifted from the box, on the bench meter. Wires are named by the terminals they came
/// from, so an exchange at the box shows.
namespace cornerbench::circuit {

/// Input of a bench millivoltmeter, ohm.
inline constexpr double millivoltmeter_ohm = 1.0e7;

/// The lifted cell reduced to bridge corners and wire ends.
class LiftedCell {
  public:
    LiftedCell() = default;
    explicit LiftedCell(const scale::CellCondition& cell);

    /// Volts between S+ and S- per volt between E+ and E-, read with the millivoltmeter.
    double signal_ratio(double bridge_ratio) const;

    /// Its wire ends and what lies between them, at one bridge ratio.
    using WireEnds = Mesh<kept_cell_nodes>;
    WireEnds closed(double bridge_ratio) const;

    /// Ohms between two wires, the others hanging free; infinite when nothing connects them.
    static double resistance_ohm(WireEnds ends, scale::Wire a, scale::Wire b);
    double resistance_ohm(scale::Wire a, scale::Wire b, double bridge_ratio) const {
        return resistance_ohm(closed(bridge_ratio), a, b);
    }

  private:
    scale::CellCondition cell_;
    /// Kept nodes: the wire ends by the terminal they came from, then the bridge corners.
    Mesh<kept_cell_nodes> mesh_;
};

}  // namespace cornerbench::circuit
