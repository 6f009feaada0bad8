#pragma once

#include <span>

#include "firmware/diagnosis/load_history.h"
#include "firmware/mechanics/carried_deck.h"
#include "firmware/numbers/arena.h"

namespace cornerbench::diagnosis {

/// Each different load of a sheet as the deck meets it, found once for every fault that leaves gravity and
/// the supports' places alone; that is all of them.
class PlacedLoads {
  public:
    PlacedLoads() = default;
    PlacedLoads(numbers::Arena& arena, const Sheet& sheet, const LoadHistory& history);

    /// Places the loads on the sound scale.
    void place(const scale::Condition& sound);

    /// By its number in the history; number 0 is the empty deck.
    const Load& load(int number) const;

    /// Change of the force entering at each node, N/m, as the load moves along the deck, and across it.
    const mechanics::Nodes& along_x(int number) const { return along_x_[number]; }
    const mechanics::Nodes& along_y(int number) const { return along_y_[number]; }

    /// The sound deck by superposition, where it holds, and how far each load presses its nodes down.
    const mechanics::CarriedDeck& carried() const { return carried_; }
    /// True when that is also the deck of `condition`, its contacts aside.
    bool carries(const scale::Condition& condition) const;
    const mechanics::Nodes& pressed_m(int number) const { return pressed_m_[number]; }

  private:
    const Sheet* sheet_ = nullptr;
    const LoadHistory* history_ = nullptr;
    mechanics::CarriedDeck carried_;
    std::array<scale::SupportCondition, scale::max_cells> supports_{};
    std::span<mechanics::Nodes> along_x_;
    std::span<mechanics::Nodes> along_y_;
    std::span<mechanics::Nodes> pressed_m_;
};

}  // namespace cornerbench::diagnosis
