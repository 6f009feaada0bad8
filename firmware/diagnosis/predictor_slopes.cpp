#include <cmath>

#include "firmware/diagnosis/predictor.h"
#include "firmware/scale/copper.h"

namespace cornerbench::diagnosis {

using circuit::RatioGradient;
using scale::Cause;

namespace {

/// A trim that changes its corner by less than this share per standard uncertainty trims nothing.
constexpr double least_trim_effect = 1.0e-8;
/// Corners farther apart than this share were not trimmed equal.
constexpr double within_trimming = 0.05;
/// In place of a position: the weight is spread over all.
constexpr int every_position = -1;

/// Where a trim stands among a cell's answers.
constexpr int trim_answer = cell_unknown_count;

}  // namespace

int Predictor::cell_column(int cell, CellUnknown of) const {
    const auto replaced_by = [cell](const scale::Fault& f) {
        return f.cause == Cause::wrong_cell && f.site.index == cell;
    };
    if (replaced_by(fault_)) return columns_.replaced(0, of);
    return replaced_by(held_) ? columns_.replaced(1, of) : columns_.cell(cell, of);
}

const CellSlopes& Predictor::slopes_of(int position) {
    if (!touched_.touches(position)) return sound_slopes_[position];
    if (!fresh_[position]) {
        const int cell = condition_.positions[position].cell;
        slopes_[position] =
            cell_slopes(condition_, position, description_.cells[cell], calibrated_, scatter_);
        fresh_[position] = true;
    }
    return slopes_[position];
}

Predictor::CellAnswers Predictor::cell_answers(const NetworkAnswers& network, double ratio_per_N,
                                               const CellScatter& own, double force_N) const {
    CellAnswers answers{};
    answers[static_cast<int>(CellUnknown::sensitivity)] =
        network.per_ratio * ratio_per_N * force_N * own.sensitivity;
    answers[static_cast<int>(CellUnknown::zero)] = network.per_ratio * own.zero_V_per_V;
    for (int q = 0; q < perturbed_count; ++q) {
        const auto what = static_cast<Perturbed>(q);
        if (what == Perturbed::copper || (what == Perturbed::trim && box_.per_cell())) continue;
        const int at = what == Perturbed::trim ? trim_answer : static_cast<int>(unknown_of(what));
        answers[at] = network.at_rest[q] + force_N * network.per_N[q];
    }
    return answers;
}

Predictor::CellAnswers Predictor::cell_answers(const CellSlopes& s, const CellScatter& own,
                                               const RatioGradient& gradient, double force_N) const {
    return cell_answers(s.answers(gradient), s.ratio_per_N, own, force_N);
}

void Predictor::add_cell_slopes(int state, int reading, int position, const RatioGradient& gradient,
                                double weight, std::span<double> out) {
    const CellSlopes& s = slopes_of(position);
    const int cell = condition_.positions[position].cell;
    const double force_N = forces().force_N(state, cell);
    const NetworkAnswers network = s.answers(gradient);
    const double per_N = weight * network.per_ratio * s.ratio_per_N;
    const CellAnswers answers =
        cell_answers(network, s.ratio_per_N, cell_scatter(description_.cells[cell], scatter_), force_N);
    for (int u = 0; u < cell_unknown_count; ++u) {
        out[cell_column(cell, static_cast<CellUnknown>(u))] += weight * answers[u];
    }
    out[columns_.trim(position)] += weight * answers[trim_answer];
    constexpr int copper = static_cast<int>(Perturbed::copper);
    out[columns_.common(CommonUnknown::copper)] +=
        weight * (network.at_rest[copper] + force_N * network.per_N[copper]);
    if (reading >= 0) {
        forces().add_slopes(reading, cell, per_N, columns_, out);
    } else {
        forces().add_empty_slopes(cell, per_N, columns_, out);
    }
}

void Predictor::add_bus_slopes(int state, int reading, int only_position, double weight,
                               std::span<double> out) {
    for (int p = 0; p < cells_; ++p) {
        if (only_position >= 0 && p != only_position) continue;
        BusState& bus = bus_state(state, p, true);
        const bool gained = box_.per_cell() && only_position < 0;
        add_cell_slopes(state, reading, p, bus.gradient, weight * (gained ? box_.gain(p) : 1.0), out);
        if (gained) {
            out[columns_.trim(p)] += weight * box_.gain(p) * scatter_.trim_left_gain * bus.reading.ratio;
        }
    }
}

void Predictor::add_weight_ratio_slopes(int state, int reading, double weight, std::span<double> out) {
    add_bus_slopes(state, reading, -1, weight, out);
    if (box_.per_cell()) return;
    const BusState& bus = bus_state(state, 0, false);
    out[columns_.common(CommonUnknown::copper)] += weight * (warm_ratio(state) - bus.reading.ratio);
}

void Predictor::compensate(std::span<double> out) const {
    if (!calibrated_) return;
    for (int c = 0; c < cells_; ++c) {
        const double trim = out[columns_.trim(c)];
        if (trim == 0.0) continue;
        for (int u = 0; u < cell_unknown_count; ++u) {
            out[columns_.cell(c, static_cast<CellUnknown>(u))] -= compensation_[c][u] * trim;
        }
    }
}

circuit::BusSolution Predictor::sound_bus(int position, int loaded, double force_N,
                                          RatioGradient& gradient) const {
    circuit::PortSum sum{};
    for (int p = 0; p < cells_; ++p) {
        if (sound_box_.per_cell() && p != position) continue;
        const double more_N = loaded == p || loaded == every_position ? force_N : 0.0;
        const double ratio = circuit::bridge_ratio(sound_.cells[p], sound_forces_.force_N(0, p) + more_N);
        add_ports(sum, sound_box_.ports(p, ratio));
    }
    return sound_box_.bus().solve(sum, gradient);
}

void Predictor::make_corners_equal() {
    // Trims that stand apart on corners that were trimmed equal stand so because their cells are apart.
    const bool trims = box_.per_cell() || description_.trim.kind != scale::TrimKind::none;
    const bool in_vain = description_.trim.kind == scale::TrimKind::signal_shunt &&
                         description_.trim.mixing_ohm == 0.0 && !box_.per_cell();
    if (!trims || in_vain) return;
    const double force_N = 0.2 * description_.max_kg * sound_.gravity;
    for (int pass = 0; pass < 3; ++pass) {
        std::array<double, scale::max_cells> answer{};
        double mean = 0.0;
        for (int p = 0; p < cells_; ++p) {
            RatioGradient unused{};
            answer[p] = sound_box_.gain(p) *
                        (sound_bus(p, p, force_N, unused).ratio - sound_bus(p, p, 0.0, unused).ratio);
            mean += answer[p] / cells_;
        }
        double farthest = 0.0;
        for (int p = 0; p < cells_; ++p) {
            const double off = std::fabs(answer[p] - mean) / std::fabs(mean);
            if (!(off <= farthest)) farthest = off;
        }
        // Cells of different kinds in one box are no matter of trimming.
        if (!(farthest < within_trimming) || farthest < 1.0e-9) return;
        for (int p = 0; p < cells_; ++p) {
            if (box_.per_cell()) {
                sound_.positions[p].digital_gain *= mean / answer[p];
            } else {
                sound_.cells[p].sensitivity_V_per_V *= mean / answer[p];
            }
            sound_box_.replace(p, sound_);
        }
        condition_ = sound_;
        box_ = sound_box_;
    }
}

void Predictor::calibrate_trims() {
    if (!calibrated_) return;
    const double force_N = 0.2 * description_.max_kg * sound_.gravity;
    for (int p = 0; p < cells_; ++p) {
        // What a weight on corner p adds to the output, and how that sum answers to p's unknowns; then the
        // same of a weight on another corner, which p's resistances move as they move every corner.
        CellAnswers answers[2]{};
        for (const bool own : {true, false}) {
            if (!own && box_.per_cell()) continue;
            RatioGradient empty{};
            RatioGradient loaded{};
            const int corner = own ? p : (p + 1) % cells_;
            const double before = sound_bus(p, corner, 0.0, empty).ratio;
            const double ratio = sound_bus(p, corner, force_N, loaded).ratio - before;
            if (ratio == 0.0) continue;
            const CellScatter of_cell = cell_scatter(description_.cells[p], scatter_);
            const double rest_N = sound_forces_.force_N(0, p);
            const CellAnswers at_rest = cell_answers(sound_slopes_[p], of_cell, empty, rest_N);
            answers[own] = cell_answers(sound_slopes_[p], of_cell, loaded, rest_N + (own ? force_N : 0.0));
            for (int u = 0; u < cell_unknown_count + 1; ++u) {
                answers[own][u] = (answers[own][u] - at_rest[u]) / ratio;
            }
        }
        const double trim =
            box_.per_cell() ? scatter_.trim_left_gain : answers[1][trim_answer] - answers[0][trim_answer];
        if (std::fabs(trim) < least_trim_effect) continue;
        for (int u = 0; u < cell_unknown_count; ++u) {
            compensation_[p][u] = (answers[1][u] - answers[0][u]) / trim;
        }
    }
}

void Predictor::calibrate_span() {
    // The span was set with half of Max spread evenly.
    const double force_N = 0.5 * description_.max_kg * sound_.gravity / cells_;
    double ratio = 0.0;
    RatioGradient empty{};
    RatioGradient loaded{};
    for (int p = 0; p < cells_; ++p) {
        const double gain = box_.gain(p);
        if (p == 0 || box_.per_cell()) {
            const double before = sound_bus(p, every_position, 0.0, empty).ratio;
            ratio += gain * (sound_bus(p, every_position, force_N, loaded).ratio - before);
        }
        if (!calibrated_) continue;
        const CellScatter own = cell_scatter(description_.cells[p], scatter_);
        const double rest_N = sound_forces_.force_N(0, p);
        const CellAnswers before = cell_answers(sound_slopes_[p], own, empty, rest_N);
        const CellAnswers after = cell_answers(sound_slopes_[p], own, loaded, rest_N + force_N);
        for (int u = 0; u < cell_unknown_count; ++u) {
            span_slopes_[columns_.cell(p, static_cast<CellUnknown>(u))] += gain * (after[u] - before[u]);
        }
        span_slopes_[columns_.trim(p)] += after[trim_answer] - before[trim_answer];
        if (box_.per_cell()) {
            const double share = gain * sound_slopes_[p].answers(loaded).per_ratio;
            span_slopes_[columns_.trim(p)] +=
                scatter_.trim_left_gain * share * sound_slopes_[p].ratio_per_N * force_N;
        }
    }
    kg_per_ratio_ = ratio != 0.0 ? 0.5 * description_.max_kg / ratio : 0.0;
    for (double& x : span_slopes_) x = ratio != 0.0 ? x / ratio : 0.0;
    compensate(span_slopes_);
}

void Predictor::weight_slopes(const Row& row, std::span<double> out) {
    const Reading& r = sheet_.readings[row.reading];
    const int state = state_of(row);
    const double weight_kg = mean(row);
    const int zeroing = history_.zeroing_of[row.reading];
    add_weight_ratio_slopes(state, row.reading, kg_per_ratio_, out);
    if (zeroing >= 0) {
        const int zero_reading = history_.zero_reading_of[zeroing];
        add_weight_ratio_slopes(forces().state_of(zero_reading), zero_reading, -kg_per_ratio_, out);
    } else if (sheet_.zeroed == Zeroed::now) {
        add_weight_ratio_slopes(0, -1, -kg_per_ratio_, out);
    }
    compensate(out);
    if (zeroing < 0 && sheet_.zeroed == Zeroed::before) {
        for (int k = 0; k < columns_.count(); ++k) out[k] -= kg_per_ratio_ * sound_zero_slopes_[k];
    }
    for (int k = 0; k < columns_.count(); ++k) out[k] -= weight_kg * span_slopes_[k];
    out[columns_.common(CommonUnknown::span)] +=
        weight_kg * (calibrated_ ? scatter_.span_calibrated : scatter_.span_unadjusted);
    out[columns_.zero_drift(zeroing)] += scatter_.zero_divisions * description_.division_kg;
    out[columns_.common(CommonUnknown::test_weights)] += sheet_.instruments.test_weights * r.load.total_kg();
}

double Predictor::home_run_share() const {
    // The home run's length and joints are as little known as its warmth; one column stands for both.
    const double warmth = scale::copper_per_K * scatter_.cable_temperature_K;
    return std::sqrt(1.0 + scatter_.excitation_drop * scatter_.excitation_drop / (warmth * warmth));
}

double Predictor::supply_scatter() const {
    const bool set = fault_.cause == Cause::excitation_low || held_.cause == Cause::excitation_low;
    return set ? 0.0 : scatter_.excitation;
}

void Predictor::bus_signal_slopes(const Row& row, std::span<double> out) {
    constexpr double meter = 1.0 / circuit::millivoltmeter_ohm;
    const Reading& r = sheet_.readings[row.reading];
    const int state = state_of(row);
    const circuit::PortSum sum = bus_state(state, r.cell, false).sum;
    RatioGradient gradient{};
    const circuit::BusSolution bus = box_.bus().solve(sum, gradient, meter);
    const double weight = r.is_ratio ? bus.reference_V / bus.box_V() : bus.reference_V;
    for (int p = 0; p < cells_; ++p) {
        if (box_.per_cell() && p != r.cell) continue;
        add_cell_slopes(state, row.reading, p, gradient, weight, out);
    }
    compensate(out);
    const circuit::BusSolution warm = warm_bus_.solve(sum, meter);
    double& copper = out[columns_.common(CommonUnknown::copper)];
    if (r.is_ratio) {
        copper += warm.box_signal_V() / warm.box_V() - bus.box_signal_V() / bus.box_V();
    } else {
        copper += home_run_share() * (warm.box_signal_V() - bus.box_signal_V());
        out[columns_.common(CommonUnknown::excitation)] += supply_scatter() * bus.box_signal_V();
    }
}

void Predictor::excitation_slopes(const Row& row, std::span<double> out) {
    const Reading& r = sheet_.readings[row.reading];
    const double volt = mean(row);
    const int state = state_of(row);
    out[columns_.common(CommonUnknown::excitation)] += supply_scatter() * volt;
    if (r.place == ExcitationPlace::indicator) return;
    const BusState& bus = bus_state(state, r.cell, false);
    const double arriving = warm_bus_.solve(bus.sum).box_V() / box_.bus().solve(bus.sum).box_V();
    out[columns_.common(CommonUnknown::copper)] += home_run_share() * volt * (arriving - 1.0);
    if (r.place != ExcitationPlace::cell) return;

    // Behind its trim each cell has an excitation of its own.
    const int c = condition_.positions[r.cell].cell;
    const scale::CellCondition cell = condition_.cells[c];
    const scale::BoxPosition place = condition_.positions[r.cell];
    const double force_N = forces().force_N(state, c);
    circuit::Ratios ratios{};
    bridge_ratios(state, ratios);
    for (int q = 0; q < perturbed_count; ++q) {
        const auto what = static_cast<Perturbed>(q);
        if (what == Perturbed::copper || (what == Perturbed::trim && box_.per_cell())) continue;
        perturb(what, description_.cells[c], condition_.trim, calibrated_, scatter_, condition_.cells[c],
                condition_.positions[r.cell]);
        box_.replace(r.cell, condition_);
        ratios[r.cell] = circuit::bridge_ratio(condition_.cells[c], force_N);
        const double moved = circuit::excitation_at_cell_V(box_, condition_, r.cell, ratios) - volt;
        out[what == Perturbed::trim ? columns_.trim(r.cell) : cell_column(c, unknown_of(what))] += moved;
        condition_.cells[c] = cell;
        condition_.positions[r.cell] = place;
    }
    box_.replace(r.cell, condition_);
    compensate(out);
}

void Predictor::slopes(const Row& row, std::span<double> out) {
    if (touched_.forces && stands_) stands_ = faulted_forces_.fill_slopes(condition_);
    const Reading& r = sheet_.readings[row.reading];
    const int state = state_of(row);
    switch (row.kind) {
        case RowKind::weight:
            weight_slopes(row, out);
            break;
        case RowKind::channel:
            add_bus_slopes(state, row.reading, r.cell, 1.0, out);
            compensate(out);
            break;
        case RowKind::bus_signal:
            bus_signal_slopes(row, out);
            break;
        case RowKind::excitation:
            excitation_slopes(row, out);
            break;
        case RowKind::lifted_signal:
            lifted_signal_slopes(row, out);
            break;
        case RowKind::resistance:
            resistance_slopes(row, out);
            break;
    }
}

}  // namespace cornerbench::diagnosis
