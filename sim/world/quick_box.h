#pragma once

#include <array>

#include "firmware/circuit/box.h"
#include "firmware/scale/condition.h"

namespace cornerbench::world {

/// The circuit of a scale, sample after sample.
///
/// For fixed resistances the converter's ratio is very nearly an affine function of the cells' ratios: a full
/// bridge shows the bus the same resistances whatever its load, but for the square of its ratio. So the
/// circuit is solved exactly now and then, with its slopes, and read off the tangent plane in between. It is
/// solved anew as soon as any cell's ratio has moved by more than `reach`, and the reach is held short
/// enough: whenever it ends, the tangent is compared with the exact solution there, and where it is off by
/// more than the tolerance the reach halves.
class QuickBox {
  public:
    /// `tolerance` in V/V at the converter, `largest_reach` in V/V of a cell.
    QuickBox(const scale::Condition& condition, double tolerance, double largest_reach);

    /// Resistances, trims or wires have changed.
    void change(const scale::Condition& condition);

    /// What the converter reads at one ratio per position.
    const circuit::BoxOutput& read(const circuit::Ratios& ratios);

    double reach() const { return reach_; }
    /// How often the circuit was solved with its slopes since the beginning.
    long solved() const { return solved_; }
    const circuit::Box& exact() const { return box_; }

  private:
    void solve_at(const circuit::Ratios& ratios);
    void follow_tangent(const circuit::Ratios& ratios);

    circuit::Box box_;
    std::size_t count_ = 0;
    double tolerance_ = 0.0;
    double largest_reach_ = 0.0;
    double reach_ = 0.0;
    bool solved_here_ = false;
    long solved_ = 0;
    circuit::Ratios at_{};
    circuit::BoxOutput there_;
    circuit::Ratios slope_{};  ///< of the converter's ratio, or of each channel by its own cell
    circuit::BoxOutput output_;
};

}  // namespace cornerbench::world
