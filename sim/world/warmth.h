#pragma once

#include "firmware/scale/condition.h"

namespace cornerbench::world {

/// A specimen at another temperature: copper's resistance, and each cell's own effects on zero and span.
class Warmth {
  public:
    /// All copper of the specimen has one temperature, that of its first cell's cable. `tolerance` is what a
    /// temperature that is held on to may cost at the converter, V/V; worked out for cells loaded to half of
    /// capacity.
    Warmth(const scale::Condition& specimen, double tolerance);

    /// Edits `condition`, a copy of the specimen, before any fault is laid into it.
    void apply(double cell_C, double cable_C, scale::Condition& condition) const;

    /// Change of a temperature from which on the circuit has to be computed anew, K.
    double cell_step_K() const { return cell_step_K_; }
    double cable_step_K() const { return cable_step_K_; }

  private:
    double specimen_factor_ = 1.0;  ///< its copper's resistance over that at 20 C
    double cell_step_K_ = 0.0;
    double cable_step_K_ = 0.0;
};

}  // namespace cornerbench::world
