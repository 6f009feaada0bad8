#pragma once

#include <array>

#include "firmware/circuit/box.h"
#include "firmware/scale/condition.h"
#include "sim/world/creep.h"
#include "sim/world/deck_in_time.h"
#include "sim/world/hysteresis.h"

namespace cornerbench::world {

/// From the force on each cell to its bridge's ratio, with what the cell remembers: creep and hysteresis.
/// Otherwise the same as circuit::bridge_ratio, whose `decreasing` and `creep_share` these memories replace.
class CellsInTime {
  public:
    /// Every cell has stood under `force_N` for long, coming from no load.
    CellsInTime(const scale::Condition& condition, const Supports& force_N, double step_s);

    /// Cells, landings or temperatures have changed. The memories stay.
    void change(const scale::Condition& condition);

    /// One sample on, under these forces. Needed at every sample while `remembers`, else when forces change.
    void step(const Supports& force_N);

    /// A cell creeps, so that its output changes under a load that stays.
    bool remembers() const { return creeps_; }

    /// By box position, V/V.
    const circuit::Ratios& ratios() const { return ratios_; }

  private:
    /// What a cell's ratio is made of, V/V: per newton of load and of creep, for bow and loop at full size,
    /// at zero.
    struct Cell {
        double per_N = 0.0;
        double crept_per_N = 0.0;
        double load_per_N = 0.0;
        double bow = 0.0;
        double loop = 0.0;
        double zero = 0.0;
        bool straight = true;  ///< neither creep nor bow nor loop
    };

    double ratio_of(std::size_t cell, double force_N);

    std::size_t count_ = 0;
    bool creeps_ = false;
    Creep::Step creep_step_;
    std::array<Cell, scale::max_cells> cells_{};
    std::array<std::size_t, scale::max_cells> cell_at_{};  ///< by box position
    std::array<Creep, scale::max_cells> creep_{};
    std::array<Hysteresis, scale::max_cells> hysteresis_{};
    circuit::Ratios ratios_{};
};

}  // namespace cornerbench::world
