#pragma once

#include <array>
#include <span>

#include "firmware/circuit/bus.h"
#include "firmware/circuit/sound_cell.h"

/// Many boxes at once, each with parts of its own: for tolerances drawn by the thousand and for sweeps.
namespace cornerbench::circuit {

/// Boxes of one kind side by side, one to a column, every column with its own cells, cables, trims and home
/// run. Says what a Box says of each to within rounding, some times faster, but takes only cells that a
/// SoundCell can be. Large: no place for it on a small stack.
class BoxBatch {
  public:
    static constexpr int columns = 32;
    using Row = std::array<double, columns>;

    /// True when a box of this condition can stand in a batch: no leak, no damaged arm, no wire under
    /// another's screw, and no shunt without mixing resistors. Anything else is for a Box.
    static bool accepts(const scale::Condition& condition);

    /// Puts a box into `column`. All columns have the cells, the converter and the kind of trim of the first
    /// box that was put in; false, and nothing done, for another or one that is not accepted.
    bool put(int column, const scale::Condition& condition);

    /// Puts the cell at `position` of a condition that stands in `column` there again, after an edit of it,
    /// its cable or its trim.
    void put_cell(int column, int position, const scale::Condition& condition);

    /// Outputs of the columns from 0 to before `filled`, each at its own bridge ratios, V/V, at
    /// [position * columns + column]: as BoxOutput's ratio, and whether the reference is missing.
    void outputs(std::span<const double> bridge_ratios, int filled, std::span<double> ratio,
                 std::span<bool> reference_missing) const;

    int count() const { return count_; }

  private:
    /// What a SoundCell holds, and the corner gain.
    struct CellColumns {
        Row output_ohm;
        Row delta_per_ratio;
        Row compensation_ohm;
        Row between;
        Row to_shield;
        std::array<Row, scale::live_wire_count> lead;
        Row shunt;
        Row mixing;
        Row gain;
    };

    bool shunted() const { return trim_.kind == scale::TrimKind::signal_shunt; }

    template <int Lanes>
    SoundCell<Lanes> cell_at(int position, int first) const;

    template <int Lanes, bool Shunted>
    void solve(std::span<const double> bridge_ratios, int first, int filled, std::span<double> ratio,
               std::span<bool> reference_missing) const;

    int count_ = 0;  ///< 0 while no box is in
    scale::Converter converter_ = scale::Converter::summed;
    scale::Trim trim_;
    std::array<CellColumns, scale::max_cells> cells_;
    BusColumns<columns> buses_;
};

}  // namespace cornerbench::circuit
