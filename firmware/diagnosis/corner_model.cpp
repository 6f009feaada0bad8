#include "firmware/diagnosis/corner_model.h"

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

// Small beside any gain that is asked for, large beside the rounding of a ratio.
constexpr double gain_step = 1.0e-4;

scale::Condition condition_of(const scale::Description& description, const PerCell& digital_gains) {
    scale::Condition condition = scale::sound_condition(description);
    for (unsigned p = 0; p < scale::max_cells; ++p) condition.positions[p].digital_gain = digital_gains[p];
    return condition;
}

mechanics::DeckModel deck_with_twist(scale::Condition condition, double times) {
    condition.deck.twist_stiffness_N_m_per_rad *= times;
    return mechanics::DeckModel(condition);
}

}  // namespace

CornerModel::CornerModel(const scale::Description& description, const PerCell& digital_gains)
    : condition_(condition_of(description, digital_gains)),
      deck_(condition_),
      stiffer_deck_(deck_with_twist(condition_, stiffer)),
      box_(condition_),
      empty_(forces_of(deck_, Load{}, 0.0, 0.0)) {
    gain_.fill(1.0);
    for (unsigned c = 0; c < scale::max_cells; ++c) rated_[c] = condition_.cells[c].sensitivity_V_per_V;
}

CellForces CornerModel::forces_of(const mechanics::DeckModel& deck, const Load& load, double move_x_m,
                                  double move_y_m) const {
    std::array<mechanics::PointLoad, max_standing> points{};
    for (int i = 0; i < load.count; ++i) {
        const Standing& s = load.standing[static_cast<unsigned>(i)];
        points[static_cast<unsigned>(i)] = {s.x_m + move_x_m, s.y_m + move_y_m,
                                            s.mass_kg * condition_.gravity};
    }
    mechanics::DeckState empty;
    mechanics::ContactMemory memory = deck.slack_when_empty(&empty);
    CellForces forces;
    forces.error = empty.error;
    if (forces.error != mechanics::DeckError::none) return forces;
    const mechanics::DeckState loaded =
        load.count == 0 ? empty
                        : deck.settle(std::span(points).first(static_cast<std::size_t>(load.count)), memory);
    forces.error = loaded.error;
    forces.newton = deck.cell_forces(loaded, empty);
    return forces;
}

CellForces CornerModel::forces(const Load& load, double move_x_m, double move_y_m) const {
    return forces_of(deck_, load, move_x_m, move_y_m);
}

CellForces CornerModel::forces_on_stiffer_deck(const Load& load) const {
    return forces_of(stiffer_deck_, load, 0.0, 0.0);
}

void CornerModel::set_gain(int cell, double gain) {
    const auto c = static_cast<unsigned>(cell);
    gain_[c] = gain;
    condition_.cells[c].sensitivity_V_per_V = rated_[c] * gain;
}

void CornerModel::set_empty_signal(int cell, double ratio) {
    scale::CellCondition& c = condition_.cells[static_cast<unsigned>(cell)];
    const double lost_in_cable = 2.0 * c.cable_m * c.cable_ohm_per_m / c.input_ohm;
    const double at_cell = ratio * (1.0 + lost_in_cable);
    c.zero_V_per_V += at_cell - cell_ratio(cell, empty_.newton[static_cast<unsigned>(cell)]);
}

void CornerModel::set_setting(int position, double at) {
    scale::BoxPosition& place = condition_.positions[static_cast<unsigned>(position)];
    (per_cell() ? place.digital_gain : place.trim_at) = at;
    box_.replace(position, condition_);
}

double CornerModel::setting(int position) const {
    const scale::BoxPosition& place = condition_.positions[static_cast<unsigned>(position)];
    return per_cell() ? place.digital_gain : place.trim_at;
}

void CornerModel::set_bridge_ohm(int cell, double input_ohm, double output_ohm) {
    scale::CellCondition& c = condition_.cells[static_cast<unsigned>(cell)];
    c.input_ohm = input_ohm;
    c.output_ohm = output_ohm;
    box_.replace(cell, condition_);
}

double CornerModel::cell_ratio(int cell, double newton, double times_gain) const {
    scale::CellCondition c = condition_.cells[static_cast<unsigned>(cell)];
    c.sensitivity_V_per_V *= times_gain;
    return circuit::bridge_ratio(c, newton);
}

CornerModel::AllPorts CornerModel::ports(const CellForces& forces) const {
    AllPorts all;
    for (int p = 0; p < count(); ++p) {
        const auto at = static_cast<unsigned>(p);
        all[at] = box_.ports(p, cell_ratio(p, forces.newton[at]));
    }
    return all;
}

double CornerModel::output(const AllPorts& all) const {
    if (!per_cell()) {
        circuit::PortSum sum{};
        for (int p = 0; p < count(); ++p) circuit::add_ports(sum, all[static_cast<unsigned>(p)]);
        return box_.bus().solve(sum).ratio;
    }
    double total = 0.0;
    for (int p = 0; p < count(); ++p) {
        total += box_.gain(p) * box_.bus().solve(all[static_cast<unsigned>(p)].siemens).ratio;
    }
    return total;
}

double CornerModel::ratio(const CellForces& forces) const {
    return output(ports(forces));
}

double CornerModel::ratio(const CellForces& forces, PerCell& per_log_gain) const {
    AllPorts all = ports(forces);
    for (int p = 0; p < count(); ++p) {
        const auto at = static_cast<unsigned>(p);
        const circuit::CellPorts as_is = all[at];
        all[at] = box_.ports(p, cell_ratio(p, forces.newton[at], 1.0 + gain_step));
        const double more = output(all);
        all[at] = box_.ports(p, cell_ratio(p, forces.newton[at], 1.0 - gain_step));
        per_log_gain[at] = (more - output(all)) / (2.0 * gain_step);
        all[at] = as_is;
    }
    return output(all);
}

double CornerModel::log_slope(int cell, double extra_N) const {
    const auto at = static_cast<unsigned>(cell);
    AllPorts all = ports(empty_);
    const double unloaded = output(all);
    all[at] = box_.ports(cell, cell_ratio(cell, empty_.newton[at] + extra_N));
    return numbers::log((output(all) - unloaded) / extra_N);
}

void CornerModel::cell_slopes(double extra_N, PerCell& ratio_per_N) const {
    AllPorts all = ports(empty_);
    const double unloaded = output(all);
    for (int p = 0; p < count(); ++p) {
        const auto at = static_cast<unsigned>(p);
        const circuit::CellPorts as_is = all[at];
        all[at] = box_.ports(p, cell_ratio(p, empty_.newton[at] + extra_N));
        ratio_per_N[at] = (output(all) - unloaded) / extra_N;
        all[at] = as_is;
    }
}

}  // namespace cornerbench::diagnosis
