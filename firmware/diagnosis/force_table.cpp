#include "firmware/diagnosis/force_table.h"

namespace cornerbench::diagnosis {

using mechanics::DeckError;
using mechanics::DeckModel;
using mechanics::DeckState;

namespace {

/// What each support feels of `times` the forces `entering` at the nodes.
mechanics::Nodes felt_of(const DeckModel::Influence& influence, const mechanics::Nodes& entering,
                         double times, int cells) {
    mechanics::Nodes felt{};
    for (int i = 0; i < cells; ++i) {
        for (int j = 0; j < cells; ++j) felt[i] += influence[i][j] * entering[j];
        felt[i] *= times;
    }
    return felt;
}

}  // namespace

ForceTable::ForceTable(numbers::Arena& arena, const Sheet& sheet, const LoadHistory& history,
                       const PlacedLoads& placed, const Scatter& scatter, int cells)
    : sheet_(&sheet), history_(&history), placed_(&placed), scatter_(&scatter), cells_(cells) {
    force_N_ = arena.take(history.moments * cells);
    slope_ = arena.take(history.moments * cells * slope_count());
    earlier_placing_ = arena.take<short>(history.moments);
}

/// The empty deck at the beginning, and what all states are measured from.
struct ForceTable::Rest {
    const DeckState& empty;
    const DeckModel::Influence& influence;  ///< without contacts: they are slack in this position
    // Change of each support's force (row) per standard uncertainty of each stiffness and height (column),
    // and of the dead load.
    DeckModel::Influence per_stiffness{};
    DeckModel::Influence per_height{};
    std::array<double, scale::max_cells> per_dead_load{};

    void find_slopes(const scale::Condition& c, const Scatter& scatter) {
        const auto dead_N = mechanics::dead_load_N(c.deck, c.gravity);
        for (int i = 0; i < c.cell_count; ++i) {
            for (int j = 0; j < c.cell_count; ++j) {
                const double own = i == j ? 1.0 : 0.0;
                const double at_rest = own - influence[i][j];
                per_stiffness[i][j] = scatter.support_stiffness * at_rest * empty.support_N[j];
                per_height[i][j] = scatter.support_height_m * at_rest * c.supports[j].stiffness_N_per_m;
                per_dead_load[i] += scatter.dead_load * influence[i][j] * dead_N[j];
            }
        }
    }
};

/// Where the contacts last slid, or else the deck at rest: from here they hold.
struct ForceTable::Held {
    std::array<double, scale::max_cells> support_N{};
    /// Change of each support's force there (row) per standard uncertainty of each stiffness (column).
    DeckModel::Influence per_stiffness{};
    /// The load under which they slid, by its number; how many times it stood there then; and its placing, -1
    /// for none.
    int load = 0;
    double times = 1.0;
    int placing = -1;
    /// Each support's answer then to that placing, N/m along the deck and across it.
    mechanics::Nodes per_x{};
    mechanics::Nodes per_y{};

    /// The deck stands elsewhere now, with the influence `loaded`: what has changed since, it felt so.
    DeckModel::Influence at(const DeckState& deck, const DeckModel::Influence& loaded, double stiffness,
                            int cells) const {
        DeckModel::Influence slope = per_stiffness;
        for (int i = 0; i < cells; ++i) {
            for (int j = 0; j < cells; ++j) {
                const double own = i == j ? 1.0 : 0.0;
                slope[i][j] += stiffness * (own - loaded[i][j]) * (deck.support_N[j] - support_N[j]);
            }
        }
        return slope;
    }
};

/// Statics that hold for any deck, a search for each load.
class ForceTable::Searched {
  public:
    Searched(const DeckModel& model, const mechanics::ContactMemory& slack, const DeckState& empty,
             const PlacedLoads& placed, double gravity)
        : model_(model), placed_(placed), gravity_(gravity), memory_(slack), usual_for_(empty) {}

    bool settle(int load, double times, DeckState& state) {
        std::array<mechanics::PointLoad, max_standing> points{};
        const int count = point_loads(placed_.load(load), gravity_, times, points);
        state = model_.settle(std::span(points).first(count), memory_);
        return state.error == DeckError::none;
    }

    const DeckModel::Influence& influence(const DeckState& deck) {
        if (!known_ || deck.lifted != usual_for_.lifted || deck.sliding != usual_for_.sliding) {
            usual_ = model_.influence(deck);
            usual_for_ = deck;
            known_ = true;
        }
        return usual_;
    }

  private:
    const DeckModel& model_;
    const PlacedLoads& placed_;
    double gravity_;
    mechanics::ContactMemory memory_;
    DeckModel::Influence usual_{};
    DeckState usual_for_;
    bool known_ = false;
};

/// Statics of the sound deck with one contact, while no support lifts off.
class ForceTable::Carried {
  public:
    Carried(const PlacedLoads& placed, const scale::Condition& c)
        : placed_(placed),
          deck_(placed.carried(), c.deck, c.contacts[0]),
          memory_(deck_.slack_when_empty()) {}

    bool settle(int load, double times, DeckState& state) {
        return deck_.settle(placed_.pressed_m(load), times, memory_, state);
    }
    const DeckModel::Influence& influence(const DeckState& deck) const {
        return deck_.influence(deck.sliding[0]);
    }

  private:
    const PlacedLoads& placed_;
    mechanics::TouchedDeck deck_;
    mechanics::ContactMemory memory_;
};

bool ForceTable::follow(const scale::Condition& c, bool slopes) {
    in_order_ = c.contact_count > 0;
    sloped_ = slopes;
    if (c.contact_count == 1 && placed_->carries(c)) {
        const mechanics::CarriedDeck& carried = placed_->carried();
        Rest rest{carried.empty(), carried.influence()};
        Carried statics(*placed_, c);
        if (walk(c, rest, statics, slopes)) return true;
    }
    const DeckModel model(c);
    DeckState empty;
    const mechanics::ContactMemory slack = model.slack_when_empty(&empty);
    if (empty.error != DeckError::none) return false;
    DeckModel::Influence influence{};
    if (slopes) {
        scale::Condition untouched = c;
        untouched.contact_count = 0;
        influence = DeckModel(untouched).influence(empty);
    }
    Rest rest{empty, influence};
    Searched statics(model, slack, empty, *placed_, c.gravity);
    return walk(c, rest, statics, slopes);
}

template <typename Statics>
bool ForceTable::walk(const scale::Condition& c, Rest& rest, Statics& statics, bool slopes) {
    Held held;
    if (slopes) {
        rest.find_slopes(c, *scatter_);
        held.support_N = rest.empty.support_N;
        held.per_stiffness = rest.per_stiffness;
    }
    const auto keep = [&](int state, const DeckState& deck, int load) {
        keep_forces(state, c, rest, deck);
        if (!slopes) return;
        // An empty deck may still hang in a contact that slid: only at the beginning it is surely free.
        keep_slopes(state, c, rest, held, deck, state != 0 ? statics.influence(deck) : rest.influence, load);
    };
    keep(0, rest.empty, 0);

    DeckState state = rest.empty;
    const auto settle = [&](int load, double times, int placing) {
        if (!statics.settle(load, times, state)) return false;
        if (slopes && state.sliding != rest.empty.sliding) {
            const DeckModel::Influence& sliding = statics.influence(state);
            held.per_stiffness = held.at(state, sliding, scatter_->support_stiffness, cells_);
            held.support_N = state.support_N;
            held.placing = placing;
            held.load = load;
            held.times = times;
            held.per_x = felt_of(sliding, placed_->along_x(load), times, cells_);
            held.per_y = felt_of(sliding, placed_->along_y(load), times, cells_);
        }
        return true;
    };
    if (!in_order_) {
        for (int l = 1; l < history_->loads; ++l) {
            if (!settle(l, 1.0, -1)) return false;
            keep(l, state, l);
        }
        return true;
    }
    int moment = 0;
    int standing = 0;
    for (int r = 0; r < history_->readings; ++r) {
        if (history_->moment_of[r] <= moment) continue;
        moment = history_->moment_of[r];
        const Reading& reading = sheet_->readings[r];
        const int load = history_->load_of[r];
        const int placing = history_->placing_of[r];
        if (standing != 0 && !same_places(placed_->load(standing), reading.load) && !settle(0, 1.0, -1))
            return false;
        if (load != 0 && reading.direction == Direction::decreasing &&
            !settle(load, reading.came_down_from, placing)) {
            return false;
        }
        if (!settle(load, 1.0, placing)) return false;
        standing = load;
        keep(moment, state, load);
    }
    return true;
}

void ForceTable::keep_forces(int state, const scale::Condition& c, const Rest& rest, const DeckState& deck) {
    for (int i = 0; i < cells_; ++i) {
        const double passed = 1.0 - c.supports[i].bound_share;
        force_N_[state * cells_ + i] =
            rest.empty.support_N[i] + passed * (deck.support_N[i] - rest.empty.support_N[i]);
    }
}

void ForceTable::keep_slopes(int state, const scale::Condition& c, const Rest& rest, const Held& held,
                             const DeckState& deck, const DeckModel::Influence& loaded, int load) {
    const mechanics::Nodes per_x = felt_of(loaded, placed_->along_x(load), 1.0, cells_);
    const mechanics::Nodes per_y = felt_of(loaded, placed_->along_y(load), 1.0, cells_);
    // Of where the contacts last slid under an earlier load, what its going left behind.
    const mechanics::Nodes gone_x = felt_of(loaded, placed_->along_x(held.load), held.times, cells_);
    const mechanics::Nodes gone_y = felt_of(loaded, placed_->along_y(held.load), held.times, cells_);
    earlier_placing_[state] = static_cast<short>(held.placing);
    const auto per_stiffness = held.at(deck, loaded, scatter_->support_stiffness, cells_);
    for (int i = 0; i < cells_; ++i) {
        const std::span<double> out = slopes(state, i);
        const double passed = 1.0 - c.supports[i].bound_share;
        for (int j = 0; j < cells_; ++j) {
            // What moves the deck's position at rest does not load a contact; what moves it later does.
            const double at_rest = rest.per_stiffness[i][j];
            out[j] = at_rest + passed * (per_stiffness[i][j] - at_rest);
            out[cells_ + j] = rest.per_height[i][j];
        }
        out[2 * cells_] = rest.per_dead_load[i];
        const double aside = sheet_->instruments.placing_m * passed;
        out[2 * cells_ + 1] = aside * per_x[i];
        out[2 * cells_ + 2] = aside * per_y[i];
        out[2 * cells_ + 3] = aside * (held.per_x[i] - gone_x[i]);
        out[2 * cells_ + 4] = aside * (held.per_y[i] - gone_y[i]);
    }
}

void ForceTable::add_common(int state, int cell, double weight, const Nuisances& columns,
                            std::span<double> row) const {
    const std::span<const double> s = slopes(state, cell);
    double* stiffness = &row[columns.stiffness(0)];
    double* height = &row[columns.height(0)];
    for (int j = 0; j < cells_; ++j) stiffness[j] += weight * s[j];
    for (int j = 0; j < cells_; ++j) height[j] += weight * s[cells_ + j];
    row[columns.common(CommonUnknown::dead_load)] += weight * s[2 * cells_];
}

void ForceTable::add_slopes(int reading, int cell, double weight, const Nuisances& columns,
                            std::span<double> row) const {
    const int state = state_of(reading);
    add_common(state, cell, weight, columns, row);
    const std::span<const double> s = slopes(state, cell);
    const auto add = [&](int placing, double x, double y) {
        if (placing < 0) return;
        row[columns.placing_x(placing)] += weight * x;
        row[columns.placing_y(placing)] += weight * y;
    };
    add(history_->placing_of[reading], s[2 * cells_ + 1], s[2 * cells_ + 2]);
    add(earlier_placing_[state], s[2 * cells_ + 3], s[2 * cells_ + 4]);
}

void ForceTable::add_empty_slopes(int cell, double weight, const Nuisances& columns,
                                  std::span<double> row) const {
    add_common(0, cell, weight, columns, row);
}

}  // namespace cornerbench::diagnosis
