#include "firmware/diagnosis/placed_loads.h"

namespace cornerbench::diagnosis {

using mechanics::Nodes;

namespace {

/// A step along the deck over which a load's shares are differenced; they are linear inside a module.
constexpr double step_m = 1.0e-3;

constexpr Load nothing{};

}  // namespace

PlacedLoads::PlacedLoads(numbers::Arena& arena, const Sheet& sheet, const LoadHistory& history)
    : sheet_(&sheet),
      history_(&history),
      along_x_(arena.take<Nodes>(history.loads)),
      along_y_(arena.take<Nodes>(history.loads)),
      pressed_m_(arena.take<Nodes>(history.loads)) {}

const Load& PlacedLoads::load(int number) const {
    return number == 0 ? nothing : sheet_->readings[history_->first_reading_of[number]].load;
}

void PlacedLoads::place(const scale::Condition& sound) {
    carried_ = mechanics::CarriedDeck(sound);
    supports_ = sound.supports;
    for (int l = 1; l < history_->loads; ++l) {
        const Load& placed = load(l);
        Nodes entering{};
        for (int i = 0; i < placed.count; ++i) {
            const Standing& s = placed.standing[i];
            const double force_N = s.mass_kg * sound.gravity;
            const auto at = [&](double x, double y) { return mechanics::weights_at(sound.deck, x, y); };
            at(s.x_m, s.y_m).spread(force_N, entering);
            const double per_m = force_N / (2.0 * step_m);
            at(s.x_m + step_m, s.y_m).spread(per_m, along_x_[l]);
            at(s.x_m - step_m, s.y_m).spread(-per_m, along_x_[l]);
            at(s.x_m, s.y_m + step_m).spread(per_m, along_y_[l]);
            at(s.x_m, s.y_m - step_m).spread(-per_m, along_y_[l]);
        }
        if (carried_.holds()) pressed_m_[l] = carried_.pressed_m(entering);
    }
}

bool PlacedLoads::carries(const scale::Condition& c) const {
    if (!carried_.holds()) return false;
    for (int i = 0; i < c.cell_count; ++i) {
        if (c.supports[i].height_m != supports_[i].height_m) return false;
    }
    return true;
}

}  // namespace cornerbench::diagnosis
