#pragma once

#include <array>

namespace cornerbench::world {

/// Hysteresis of a cell that remembers where its load turned.
///
/// Rayleigh's law (1887): from a turning point on, a branch bends as the square of the way; Masing's rule
/// (1926): every branch has the same shape, and a branch that comes back to the turning point before it
/// closes that loop and goes on with the one around it. That is Preisach's model with an even density
/// (Mayergoyz, Mathematical Models of Hysteresis, 1991). The branch up from no load is straight; down from
/// capacity it lies above by 4 x (1 - x) at x of capacity, 1 at mid range. A smaller swing s closes a loop
/// s^2 as high.
class Hysteresis {
  public:
    /// Comes to `load` (over capacity) and says by how much the output lies off the first branch up, over
    /// rated output times the cell's `hysteresis`.
    double follow(double load);

  private:
    /// A load, over capacity, at which the way turned.
    struct Turn {
        double load = 0.0;
        double branch = 0.0;  ///< the bent part of the output there
    };

    static constexpr int most_turns = 32;

    void forget_closed_loops(double load);
    void turn_at_last();
    double branch_at(double load) const;

    /// Turns that still count, from the outermost; going up from one with an even index, down from an odd
    /// one.
    std::array<Turn, most_turns> turns_{};
    int count_ = 1;
    double load_ = 0.0;
};

}  // namespace cornerbench::world
