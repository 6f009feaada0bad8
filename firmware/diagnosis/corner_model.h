#pragma once

#include <array>
#include <span>

#include "firmware/circuit/box.h"
#include "firmware/diagnosis/reading.h"
#include "firmware/mechanics/deck.h"
#include "firmware/scale/condition.h"

/// What an otherwise sound scale shows, as a function of what each cell gives and where each trim stands.
namespace cornerbench::diagnosis {

/// One number per cell or box position.
using PerCell = std::array<double, scale::max_cells>;

/// The corner gains of a per-cell box in which none was set.
constexpr PerCell no_gains() {
    PerCell ones{};
    for (double& one : ones) one = 1.0;
    return ones;
}

/// Newtons on each cell under some load.
struct CellForces {
    PerCell newton{};
    mechanics::DeckError error = mechanics::DeckError::none;
};

/// The forward model of trimming: statics and circuit of the scale as described, with a gain on each cell's
/// sensitivity and a setting on each trim. Forces depend on neither, so they are found once per load.
class CornerModel {
  public:
    /// `digital_gains`: present corner gains of a per-cell box.
    explicit CornerModel(const scale::Description& description, const PerCell& digital_gains = no_gains());

    int count() const { return condition_.cell_count; }
    bool per_cell() const { return box_.per_cell(); }
    const scale::Condition& condition() const { return condition_; }

    /// Forces with `load` on the deck, all of it moved by (x, y).
    CellForces forces(const Load& load, double move_x_m = 0.0, double move_y_m = 0.0) const;
    /// The same on a deck whose twist stiffness is `stiffer` times as large.
    CellForces forces_on_stiffer_deck(const Load& load) const;
    const CellForces& empty() const { return empty_; }
    static constexpr double stiffer = 1.1;

    /// Factor on the described sensitivity.
    void set_gain(int cell, double gain);
    double gain(int cell) const { return gain_[static_cast<unsigned>(cell)]; }

    /// Makes the cell's signal with the deck empty what was read at the box end of its lifted cable, V/V.
    void set_empty_signal(int cell, double ratio);

    /// Position of a trim in turns or ohms; digital gain in a per-cell box.
    void set_setting(int position, double at);
    double setting(int position) const;

    /// Resistances of a cell as built, for asking what their tolerance does.
    void set_bridge_ohm(int cell, double input_ohm, double output_ohm);

    /// The converter's ratio, V/V; in a per-cell box the sum of gain times channel.
    double ratio(const CellForces& forces) const;

    /// The same with its change per unit change of each cell's logarithmic gain.
    double ratio(const CellForces& forces, PerCell& per_log_gain) const;

    /// Logarithm of one cell's own slope, see `cell_slopes`; NaN where the cell gives nothing.
    double log_slope(int cell, double extra_N) const;

    /// Change of the ratio over the force, V/V/N, when `extra_N` come onto each cell alone, deck otherwise
    /// empty. Corners weigh alike exactly when these are equal: supports together carry the whole load.
    void cell_slopes(double extra_N, PerCell& ratio_per_N) const;

  private:
    using AllPorts = std::array<circuit::CellPorts, scale::max_cells>;

    double cell_ratio(int cell, double newton, double times_gain = 1.0) const;
    AllPorts ports(const CellForces& forces) const;
    double output(const AllPorts& ports) const;
    CellForces forces_of(const mechanics::DeckModel& deck, const Load& load, double move_x_m,
                         double move_y_m) const;

    PerCell rated_{};
    PerCell gain_{};
    scale::Condition condition_;
    mechanics::DeckModel deck_;
    mechanics::DeckModel stiffer_deck_;
    circuit::Box box_;
    CellForces empty_;
};

}  // namespace cornerbench::diagnosis
