#pragma once

#include <array>

#include "firmware/circuit/lifted_cell.h"
#include "firmware/diagnosis/cell_slopes.h"

/// One cell on the bench meter, and how its readings answer to what is never known of it.
namespace cornerbench::diagnosis {

/// A cell off the box on the bench, every wire within reach of a meter.
class LiftedBench {
  public:
    LiftedBench() = default;
    explicit LiftedBench(const scale::CellCondition& cell) : cell_(cell), lifted_(cell) {}

    /// Volts of signal per volt of excitation with `force_N` on the cell.
    double signal_ratio(double force_N) const {
        return lifted_.signal_ratio(circuit::bridge_ratio(cell_, force_N));
    }
    /// One pair after the other under one force: the bridge is closed for the first.
    double resistance_ohm(scale::Wire a, scale::Wire b, double force_N) {
        const double ratio = circuit::bridge_ratio(cell_, force_N);
        if (!closed_ || ratio != closed_at_) ends_ = lifted_.closed(ratio);
        closed_ = true;
        closed_at_ = ratio;
        return circuit::LiftedCell::resistance_ohm(ends_, a, b);
    }

    const scale::CellCondition& cell() const { return cell_; }

  private:
    scale::CellCondition cell_;
    circuit::LiftedCell lifted_;
    circuit::LiftedCell::WireEnds ends_;
    double closed_at_ = 0.0;
    bool closed_ = false;
};

/// The same cell with one thing moved at a time by one standard uncertainty; the trim is in the box.
using MovedBenches = std::array<LiftedBench, perturbed_count>;
MovedBenches moved_benches(const scale::CellCondition& cell, const scale::Cell& bought,
                           const scale::Trim& trim, bool trims_calibrated, const Scatter& scatter);

/// Change of a lifted cell's signal ratio, linear in the force on it.
struct SignalSlopes {
    /// A straight line over the force on the cell, in N.
    struct Straight {
        double at_rest = 0.0;
        double per_N = 0.0;
        double at(double force_N) const { return at_rest + force_N * per_N; }
    };
    Straight per_ratio;                              ///< per V/V of the bridge
    std::array<Straight, perturbed_count> moved_by;  ///< per standard uncertainty
};

/// From the cell as it is and moved, how its signal answers.
SignalSlopes signal_slopes(const LiftedBench& bench, const MovedBenches& moved);

}  // namespace cornerbench::diagnosis
