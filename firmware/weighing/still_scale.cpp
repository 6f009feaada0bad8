#include "firmware/weighing/still_scale.h"

#include <array>
#include <cmath>

namespace cornerbench::weighing {

StillScale::StillScale(const scale::Description& description, const scale::Condition& condition)
    : condition_(condition),
      full_scale_V_per_V_(description.full_scale_V_per_V),
      model_(condition_),
      box_(condition_),
      empty_(),
      memory_(model_.slack_when_empty(&empty_)),
      state_(empty_),
      ratios_(ratios_at(state_)) {}

circuit::Ratios StillScale::ratios_at(const mechanics::DeckState& state, double decreasing,
                                      double creep_share) const {
    const auto force_N = model_.cell_forces(state, empty_);
    circuit::Ratios ratios{};
    for (int p = 0; p < condition_.cell_count; ++p) {
        const auto at = static_cast<unsigned>(p);
        const auto cell = static_cast<unsigned>(condition_.positions[at].cell);
        ratios[at] = circuit::bridge_ratio(condition_.cells[cell], force_N[cell], decreasing, creep_share);
    }
    return ratios;
}

void StillScale::put(std::span<const mechanics::PointLoad> loads) {
    mechanics::DeckState next = model_.settle({}, memory_);
    if (!loads.empty() && next.error == mechanics::DeckError::none) next = model_.settle(loads, memory_);
    state_ = next;
    ratios_ = ratios_at(state_, decreasing_, creep_share_);
}

void StillScale::change(std::span<const mechanics::PointLoad> loads) {
    state_ = model_.settle(loads, memory_);
    ratios_ = ratios_at(state_, decreasing_, creep_share_);
}

void StillScale::remember(double decreasing, double creep_share) {
    decreasing_ = decreasing;
    creep_share_ = creep_share;
    ratios_ = ratios_at(state_, decreasing_, creep_share_);
}

Indication StillScale::read(const ZeroAndSpan& calibration) const {
    const circuit::BoxOutput out = box_.output(ratios_);
    Indication shown;
    shown.error = state_.error;
    shown.ratio = out.ratio;
    shown.reference_missing = out.reference_missing;
    if (box_.per_cell()) {
        for (const double channel : out.channel) {
            shown.over_range = shown.over_range || std::fabs(channel) > full_scale_V_per_V_;
        }
    } else {
        shown.over_range = std::fabs(out.ratio) > full_scale_V_per_V_;
    }
    shown.weight_kg = (out.ratio - calibration.zero_ratio) * calibration.kg_per_ratio;
    return shown;
}

ZeroAndSpan StillScale::calibrate(double mass_kg) const {
    const scale::Deck& deck = condition_.deck;
    std::array<mechanics::PointLoad, scale::max_cells> loads{};
    const int n = condition_.cell_count;
    for (int i = 0; i < n; ++i) {
        const int section = scale::section_of(i, deck.sections);
        loads[static_cast<unsigned>(i)] = {deck.section_x_m[static_cast<unsigned>(section)],
                                           scale::is_far(i, deck.sections) ? deck.width_m : 0.0,
                                           mass_kg * condition_.gravity / n};
    }
    mechanics::ContactMemory memory = memory_;
    const mechanics::DeckState loaded =
        model_.settle(std::span(loads).first(static_cast<std::size_t>(n)), memory);
    const double zero = box_.output(ratios_at(empty_)).ratio;
    const double span = box_.output(ratios_at(loaded)).ratio - zero;
    return {zero, span != 0.0 ? mass_kg / span : 0.0};
}

ZeroAndSpan sound_calibration(const scale::Description& description) {
    const StillScale sound(description, scale::sound_condition(description));
    return sound.calibrate(0.5 * description.max_kg);
}

}  // namespace cornerbench::weighing
