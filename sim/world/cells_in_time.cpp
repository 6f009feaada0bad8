#include "sim/world/cells_in_time.h"

#include "firmware/scale/units.h"

namespace cornerbench::world {

CellsInTime::CellsInTime(const scale::Condition& condition, const Supports& force_N, double step_s)
    : creep_step_(step_s) {
    change(condition);
    for (std::size_t i = 0; i < count_; ++i) creep_[i].rest_under(force_N[i]);
    step(force_N);
}

void CellsInTime::change(const scale::Condition& condition) {
    count_ = static_cast<std::size_t>(condition.cell_count);
    creeps_ = false;
    for (std::size_t i = 0; i < count_; ++i) {
        const scale::CellCondition& is = condition.cells[i];
        const double rated = is.orientation * is.sensitivity_V_per_V;
        Cell& cell = cells_[i];
        cell.per_N = circuit::bridge_ratio_per_N(is);
        cell.crept_per_N = cell.per_N * is.creep;
        cell.load_per_N = 1.0 / (is.capacity_kg * scale::standard_gravity);
        cell.bow = 4.0 * rated * is.nonlinearity;
        cell.loop = rated * is.hysteresis;
        cell.zero = circuit::bridge_ratio(is, 0.0);
        cell.straight = is.creep == 0.0 && cell.bow == 0.0 && cell.loop == 0.0;
        creeps_ = creeps_ || is.creep != 0.0;
        cell_at_[i] = static_cast<std::size_t>(condition.positions[i].cell);
    }
}

double CellsInTime::ratio_of(std::size_t i, double force_N) {
    const Cell& cell = cells_[i];
    double ratio = cell.per_N * force_N + cell.zero;
    if (cell.straight) return ratio;
    const double load = cell.load_per_N * force_N;
    ratio += cell.bow * load * (1.0 - load);
    if (cell.loop != 0.0) ratio += cell.loop * hysteresis_[i].follow(load);
    if (cell.crept_per_N != 0.0) ratio += cell.crept_per_N * creep_[i].crept_N();
    return ratio;
}

void CellsInTime::step(const Supports& force_N) {
    std::array<double, scale::max_cells> of_cell;
    for (std::size_t i = 0; i < count_; ++i) {
        if (creeps_) creep_[i].step(creep_step_, force_N[i]);
        of_cell[i] = ratio_of(i, force_N[i]);
    }
    for (std::size_t p = 0; p < count_; ++p) ratios_[p] = of_cell[cell_at_[p]];
}

}  // namespace cornerbench::world
