#pragma once

#include <span>

#include "firmware/diagnosis/load_history.h"
#include "firmware/diagnosis/nuisances.h"
#include "firmware/diagnosis/placed_loads.h"
#include "firmware/diagnosis/scatter.h"
#include "firmware/mechanics/deck.h"
#include "firmware/numbers/arena.h"

namespace cornerbench::diagnosis {

/// The force on every cell at every reading of a sheet, and how it answers to what is never known of the
/// deck. One state per different load, or with contacts, whose memory counts, one per moment of the history.
class ForceTable {
  public:
    ForceTable() = default;
    /// Takes its memory for at most one state per moment. `placed` stands where it is, and is placed before
    /// the table is filled.
    ForceTable(numbers::Arena& arena, const Sheet& sheet, const LoadHistory& history,
               const PlacedLoads& placed, const Scatter& scatter, int cells);

    /// Follows the sheet's loads on `condition`, for the forces alone. False when the deck cannot stand.
    [[nodiscard]] bool fill(const scale::Condition& condition) { return follow(condition, false); }

    /// The same with the slopes, which cost several times as much. Does nothing when they are there already.
    [[nodiscard]] bool fill_slopes(const scale::Condition& condition) {
        return sloped_ || follow(condition, true);
    }

    int state_of(int reading) const {
        return in_order_ ? history_->moment_of[reading] : history_->load_of[reading];
    }
    int states() const { return in_order_ ? history_->moments : history_->loads; }
    /// State 0 is the deck empty, at the beginning.
    double force_N(int state, int cell) const { return force_N_[state * cells_ + cell]; }

    /// Adds `weight` times the change of `cell`'s force at `reading`'s state, in N per standard uncertainty,
    /// to `row`, at the columns of support stiffness and height, dead load, the reading's placing and
    /// the one under which contacts last slid.
    void add_slopes(int reading, int cell, double weight, const Nuisances& columns,
                    std::span<double> row) const;

    /// The same for the empty deck at the beginning.
    void add_empty_slopes(int cell, double weight, const Nuisances& columns, std::span<double> row) const;

  private:
    bool follow(const scale::Condition& condition, bool slopes);
    int slope_count() const { return 2 * cells_ + 5; }
    std::span<double> slopes(int state, int cell) const {
        return slope_.subspan((state * cells_ + cell) * slope_count(), slope_count());
    }
    struct Rest;
    struct Held;
    class Searched;
    class Carried;
    /// Follows the loads through `statics`. False when they cannot tell how the deck stands.
    template <typename Statics>
    bool walk(const scale::Condition& condition, Rest& rest, Statics& statics, bool slopes);
    void keep_forces(int state, const scale::Condition& condition, const Rest& rest,
                     const mechanics::DeckState& deck);
    void keep_slopes(int state, const scale::Condition& condition, const Rest& rest, const Held& held,
                     const mechanics::DeckState& deck, const mechanics::DeckModel::Influence& loaded,
                     int load);
    void add_common(int state, int cell, double weight, const Nuisances& columns,
                    std::span<double> row) const;

    const Sheet* sheet_ = nullptr;
    const LoadHistory* history_ = nullptr;
    const PlacedLoads* placed_ = nullptr;
    const Scatter* scatter_ = nullptr;
    int cells_ = 0;
    bool in_order_ = false;
    bool sloped_ = false;
    std::span<double> force_N_;
    /// Per state and cell: stiffnesses, heights, dead load, x, y, and x, y of the earlier placing.
    std::span<double> slope_;
    /// Per state: the placing under which contacts last slid, -1 for none.
    std::span<short> earlier_placing_;
};

}  // namespace cornerbench::diagnosis
