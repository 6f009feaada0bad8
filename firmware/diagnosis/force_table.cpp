#include "firmware/diagnosis/force_table.h"

namespace cornerbench::diagnosis {

using mechanics::DeckError;
using mechanics::DeckModel;
using mechanics::DeckState;

namespace {

/// A step along the deck over which a load's shares are differenced; they are linear inside a module.
constexpr double step_m = 1.0e-3;

/// Force per newton-unit entering at the nodes as the load moves a metre along x or y.
std::array<double, scale::max_cells> moved(const scale::Condition& c, const Load& load, double along_x,
                                           double along_y) {
    std::array<double, scale::max_cells> force{};
    for (int i = 0; i < load.count; ++i) {
        const Standing& s = load.standing[i];
        const auto plus = mechanics::node_shares(c.deck, s.x_m + along_x * step_m, s.y_m + along_y * step_m);
        const auto minus = mechanics::node_shares(c.deck, s.x_m - along_x * step_m, s.y_m - along_y * step_m);
        const double per_m = s.mass_kg * c.gravity / (2.0 * step_m);
        for (int n = 0; n < c.cell_count; ++n) force[n] += per_m * (plus[n] - minus[n]);
    }
    return force;
}

}  // namespace

ForceTable::ForceTable(numbers::Arena& arena, const Sheet& sheet, const LoadHistory& history,
                       const Scatter& scatter, int cells)
    : sheet_(&sheet), history_(&history), scatter_(&scatter), cells_(cells) {
    const int states = history.moments;
    force_N_ = arena.take(states * cells);
    slope_ = arena.take(states * cells * slope_count());
}

/// The empty deck at the beginning, and what all states are measured from.
struct ForceTable::Rest {
    const scale::Condition& condition;
    const DeckModel& model;
    DeckState empty;
    DeckModel::Influence influence;  ///< without contacts: they are slack in this position
};

/// Where the contacts last slid, or else the deck at rest: from here they hold.
struct ForceTable::Held {
    std::array<double, scale::max_cells> support_N{};
    /// Change of each support's force there (row) per standard uncertainty of each stiffness (column).
    DeckModel::Influence per_stiffness{};

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

bool ForceTable::follow(const scale::Condition& c, bool slopes) {
    const DeckModel model(c);
    Rest rest{c, model, {}, {}};
    mechanics::ContactMemory memory = model.slack_when_empty(&rest.empty);
    if (rest.empty.error != DeckError::none) return false;
    in_order_ = c.contact_count > 0;
    sloped_ = slopes;
    if (slopes) {
        scale::Condition untouched = c;
        untouched.contact_count = 0;
        rest.influence = DeckModel(untouched).influence(rest.empty);
    }

    DeckModel::Influence usual = in_order_ && slopes ? model.influence(rest.empty) : rest.influence;
    DeckState usual_for = rest.empty;
    const auto influence_at = [&](const DeckState& deck) -> const DeckModel::Influence& {
        if (deck.lifted != usual_for.lifted || deck.sliding != usual_for.sliding) {
            usual = model.influence(deck);
            usual_for = deck;
        }
        return usual;
    };
    Held held;
    held.per_stiffness = held.at(rest.empty, rest.influence, scatter_->support_stiffness, cells_);
    held.support_N = rest.empty.support_N;
    const auto keep = [&](int state, const DeckState& deck, const Load* load) {
        keep_forces(state, rest, deck);
        if (slopes)
            keep_slopes(state, rest, held, deck, load != nullptr ? influence_at(deck) : rest.influence, load);
    };
    keep(0, rest.empty, nullptr);

    std::array<mechanics::PointLoad, max_standing> points{};
    const auto settle = [&](const Load& load, double times, DeckState& state) {
        const int count = point_loads(load, c.gravity, times, points);
        state = model.settle(std::span(points).first(count), memory);
        if (slopes && state.sliding != rest.empty.sliding) {
            held.per_stiffness = held.at(state, influence_at(state), scatter_->support_stiffness, cells_);
            held.support_N = state.support_N;
        }
        return state.error == DeckError::none;
    };
    if (!in_order_) {
        for (int l = 1; l < history_->loads; ++l) {
            const Load& load = sheet_->readings[history_->first_reading_of[l]].load;
            DeckState state;
            if (!settle(load, 1.0, state)) return false;
            keep(l, state, &load);
        }
        return true;
    }
    constexpr Load nothing{};
    const Load* standing = &nothing;
    DeckState state = rest.empty;
    int moment = 0;
    for (int r = 0; r < history_->readings; ++r) {
        if (history_->moment_of[r] <= moment) continue;
        moment = history_->moment_of[r];
        const Reading& reading = sheet_->readings[r];
        if (!same_places(*standing, reading.load) && standing->count > 0 && !settle(nothing, 1.0, state)) {
            return false;
        }
        if (reading.direction == Direction::decreasing && reading.load.count > 0 &&
            !settle(reading.load, reading.came_down_from, state)) {
            return false;
        }
        if (!settle(reading.load, 1.0, state)) return false;
        standing = &reading.load;
        keep(moment, state, &reading.load);
    }
    return true;
}

void ForceTable::keep_forces(int state, const Rest& rest, const DeckState& deck) {
    const auto cell_N = rest.model.cell_forces(deck, rest.empty);
    for (int i = 0; i < cells_; ++i) force_N_[state * cells_ + i] = cell_N[i];
}

void ForceTable::keep_slopes(int state, const Rest& rest, const Held& held, const DeckState& deck,
                             const DeckModel::Influence& loaded, const Load* load) {
    const scale::Condition& c = rest.condition;
    const auto& dead = rest.model.dead_load_N();
    const auto along_x = load != nullptr ? moved(c, *load, 1.0, 0.0) : std::array<double, scale::max_cells>{};
    const auto along_y = load != nullptr ? moved(c, *load, 0.0, 1.0) : std::array<double, scale::max_cells>{};
    const auto per_stiffness = held.at(deck, loaded, scatter_->support_stiffness, cells_);
    for (int i = 0; i < cells_; ++i) {
        const std::span<double> out = slopes(state, i);
        const double passed = 1.0 - c.supports[i].bound_share;
        double dead_slope = 0.0;
        double x_slope = 0.0;
        double y_slope = 0.0;
        for (int j = 0; j < cells_; ++j) {
            const double own = i == j ? 1.0 : 0.0;
            // What moves the deck's position at rest does not load a contact; what moves it later does.
            const double at_rest = own - rest.influence[i][j];
            const double stiffness_at_rest = scatter_->support_stiffness * at_rest * rest.empty.support_N[j];
            out[j] = stiffness_at_rest + passed * (per_stiffness[i][j] - stiffness_at_rest);
            out[cells_ + j] = scatter_->support_height_m * at_rest * c.supports[j].stiffness_N_per_m;
            dead_slope += rest.influence[i][j] * dead[j];
            x_slope += loaded[i][j] * along_x[j];
            y_slope += loaded[i][j] * along_y[j];
        }
        out[2 * cells_] = scatter_->dead_load * dead_slope;
        out[2 * cells_ + 1] = sheet_->instruments.placing_m * passed * x_slope;
        out[2 * cells_ + 2] = sheet_->instruments.placing_m * passed * y_slope;
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
    const int placing = history_->placing_of[reading];
    if (placing < 0) return;
    const std::span<const double> s = slopes(state, cell);
    row[columns.placing_x(placing)] += weight * s[2 * cells_ + 1];
    row[columns.placing_y(placing)] += weight * s[2 * cells_ + 2];
}

void ForceTable::add_empty_slopes(int cell, double weight, const Nuisances& columns,
                                  std::span<double> row) const {
    add_common(0, cell, weight, columns, row);
}

}  // namespace cornerbench::diagnosis
