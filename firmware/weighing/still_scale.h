#pragma once

#include <span>

#include "firmware/circuit/box.h"
#include "firmware/mechanics/deck.h"
#include "firmware/scale/condition.h"

/// A scale standing still: loads in, the indicator's weight out, along a history of loads.
namespace cornerbench::weighing {

/// Zero and span as the indicator holds them: weight = (ratio - zero_ratio) * kg_per_ratio.
struct ZeroAndSpan {
    double zero_ratio = 0.0;
    double kg_per_ratio = 0.0;
};

/// What an indicator would show, before rounding.
struct Indication {
    double weight_kg = 0.0;
    double ratio = 0.0;  ///< of the converter; in a per-cell box the sum of gain times channel
    mechanics::DeckError error = mechanics::DeckError::none;
    bool reference_missing = false;
    bool over_range = false;  ///< beyond the converter
};

/// One condition of a scale with the memory of its contacts. Holds a copy of the condition.
class StillScale {
  public:
    StillScale(const scale::Description& description, const scale::Condition& condition);
    StillScale(const StillScale&) = delete;
    StillScale& operator=(const StillScale&) = delete;

    /// Takes everything off the deck and puts `loads` (forces) on it; contacts remember the way.
    void put(std::span<const mechanics::PointLoad> loads);

    /// Goes to `loads` from what stands there now, without taking it off first: more or less at the same
    /// place.
    void change(std::span<const mechanics::PointLoad> loads);

    /// What the cells remember of the way, for what stands on the deck now: how much of their hysteresis
    /// shows (1: all of it, coming down) and of their creep (1: half an hour's). Putting or changing loads
    /// keeps it.
    void remember(double decreasing, double creep_share);

    /// The indicator's answer to what stands on the deck now.
    Indication read(const ZeroAndSpan& calibration) const;

    /// Open-circuit ratio of the cell landed at each box position now, V/V.
    const circuit::Ratios& ratios() const { return ratios_; }

    /// Zero with the deck empty, and span from `mass_kg` spread evenly over the supports.
    ZeroAndSpan calibrate(double mass_kg) const;

    const scale::Condition& condition() const { return condition_; }
    const circuit::Box& box() const { return box_; }
    const mechanics::DeckState& deck() const { return state_; }
    mechanics::DeckError error() const { return state_.error; }

  private:
    circuit::Ratios ratios_at(const mechanics::DeckState& state, double decreasing = 0.0,
                              double creep_share = 0.0) const;

    scale::Condition condition_;
    double full_scale_V_per_V_ = 0.0;
    mechanics::DeckModel model_;
    circuit::Box box_;
    mechanics::DeckState empty_;  ///< filled while `memory_` is made, so it stands before it
    mechanics::ContactMemory memory_;
    mechanics::DeckState state_;
    circuit::Ratios ratios_{};
    double decreasing_ = 0.0;
    double creep_share_ = 0.0;
};

/// Zero and span as set on the sound scale that `description` describes: span with half of Max, spread
/// evenly.
ZeroAndSpan sound_calibration(const scale::Description& description);

}  // namespace cornerbench::weighing
