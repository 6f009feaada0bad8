#include <cmath>

#include "firmware/diagnosis/predictor.h"
#include "firmware/scale/copper.h"

namespace cornerbench::diagnosis {

using circuit::RatioGradient;
using scale::Cause;

namespace {

/// Step of a bridge ratio for the derivative of a lifted cell's signal.
constexpr double ratio_step = 1.0e-4;
/// A trim that changes its corner by less than this share per standard uncertainty trims nothing.
constexpr double least_trim_effect = 1.0e-8;

constexpr CellUnknown unknown_of(Perturbed what) {
    switch (what) {
        case Perturbed::input:
            return CellUnknown::input;
        case Perturbed::output:
            return CellUnknown::output;
        case Perturbed::cable:
            return CellUnknown::cable;
        default:
            return CellUnknown::insulation;
    }
}

/// Unknowns that a round of trimming made up for.
constexpr Perturbed trimmed_out[] = {Perturbed::input, Perturbed::output, Perturbed::cable};

}  // namespace

int Predictor::cell_column(int cell, CellUnknown of) const {
    const bool replaced = fault_.cause == Cause::wrong_cell && fault_.site.index == cell;
    return replaced ? columns_.replaced(of) : columns_.cell(cell, of);
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

void Predictor::add_cell_slopes(int state, int reading, int position, const RatioGradient& gradient,
                                double weight, std::span<double> out) {
    const CellSlopes& s = slopes_of(position);
    const int cell = condition_.positions[position].cell;
    const CellScatter own = cell_scatter(description_.cells[cell], scatter_);
    const double force_N = forces().force_N(state, cell);
    const double per_ratio = weight * change(gradient, s.per_ratio);
    const double per_N = per_ratio * s.ratio_per_N;

    out[cell_column(cell, CellUnknown::sensitivity)] += per_N * force_N * own.sensitivity;
    out[cell_column(cell, CellUnknown::zero)] += per_ratio * own.zero_V_per_V;
    for (int q = 0; q < perturbed_count; ++q) {
        const auto what = static_cast<Perturbed>(q);
        const double moved =
            weight * (change(gradient, s.at_rest[q]) + force_N * change(gradient, s.per_N[q]));
        if (what == Perturbed::trim) {
            if (!box_.per_cell()) out[columns_.trim(position)] += moved;
        } else if (what == Perturbed::copper) {
            out[columns_.common(CommonUnknown::copper)] += moved;
        } else {
            out[cell_column(cell, unknown_of(what))] += moved;
        }
    }
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
            out[columns_.trim(p)] += weight * scatter_.trim_left_gain * bus.solution.ratio;
        }
    }
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

void Predictor::calibrate_trims() {
    if (!calibrated_) return;
    for (int p = 0; p < cells_; ++p) {
        const CellSlopes& s = sound_slopes_[p];
        const RatioGradient gradient = bus_state(0, p, true).gradient;
        const double gain_per_N = change(gradient, s.per_ratio) * s.ratio_per_N;
        if (gain_per_N == 0.0) continue;
        const auto relative = [&](Perturbed what) {
            return change(gradient, s.per_N[static_cast<int>(what)]) / gain_per_N;
        };
        const double trim = box_.per_cell() ? scatter_.trim_left_gain : relative(Perturbed::trim);
        if (std::fabs(trim) < least_trim_effect) continue;
        const CellScatter own = cell_scatter(description_.cells[p], scatter_);
        compensation_[p][static_cast<int>(CellUnknown::sensitivity)] = own.sensitivity / trim;
        for (const Perturbed what : trimmed_out) {
            compensation_[p][static_cast<int>(unknown_of(what))] = relative(what) / trim;
        }
    }
}

void Predictor::calibrate_span() {
    // The span was set with half of Max spread evenly; the ratio answers in a straight line.
    const double force_N = 0.5 * description_.max_kg * sound_.gravity / cells_;
    double ratio = 0.0;
    for (int p = 0; p < cells_; ++p) {
        const CellSlopes& s = sound_slopes_[p];
        BusState& bus = bus_state(0, p, true);
        const double gain = box_.gain(p);
        const double per_N = gain * change(bus.gradient, s.per_ratio) * s.ratio_per_N;
        ratio += per_N * force_N;
        if (!calibrated_) continue;
        const CellScatter own = cell_scatter(description_.cells[p], scatter_);
        span_slopes_[columns_.cell(p, CellUnknown::sensitivity)] += per_N * force_N * own.sensitivity;
        for (const Perturbed what : trimmed_out) {
            span_slopes_[columns_.cell(p, unknown_of(what))] +=
                gain * force_N * change(bus.gradient, s.per_N[static_cast<int>(what)]);
        }
        span_slopes_[columns_.trim(p)] +=
            box_.per_cell() ? per_N * force_N * scatter_.trim_left_gain
                            : force_N * change(bus.gradient, s.per_N[static_cast<int>(Perturbed::trim)]);
    }
    kg_per_ratio_ = ratio != 0.0 ? 0.5 * description_.max_kg / ratio : 0.0;
    for (double& x : span_slopes_) x = ratio != 0.0 ? x / ratio : 0.0;
    compensate(span_slopes_);
}

void Predictor::weight_slopes(const Row& row, std::span<double> out) {
    const Reading& r = sheet_.readings[row.reading];
    const int state = state_of(row);
    const double weight_kg = mean(row);
    add_bus_slopes(state, row.reading, -1, kg_per_ratio_, out);
    if (sheet_.zeroed == Zeroed::now) add_bus_slopes(0, -1, -1, -kg_per_ratio_, out);
    compensate(out);
    if (sheet_.zeroed == Zeroed::before) {
        for (int k = 0; k < columns_.count(); ++k) out[k] -= kg_per_ratio_ * sound_zero_slopes_[k];
    }
    for (int k = 0; k < columns_.count(); ++k) out[k] -= weight_kg * span_slopes_[k];
    out[columns_.common(CommonUnknown::span)] +=
        weight_kg * (calibrated_ ? scatter_.span_calibrated : scatter_.span_unadjusted);
    out[columns_.common(CommonUnknown::zero_drift)] += scatter_.zero_divisions * description_.division_kg;
    out[columns_.common(CommonUnknown::test_weights)] += sheet_.instruments.test_weights * r.load.total_kg();
}

void Predictor::excitation_slopes(const Row& row, std::span<double> out) {
    const double volt = mean(row);
    circuit::Ratios ratios{};
    bridge_ratios(state_of(row), ratios);
    const double drop_V = volt - circuit::excitation_at_indicator_V(box_, ratios);
    out[columns_.common(CommonUnknown::excitation)] += scatter_.excitation * volt;
    // Warmer copper and a longer run both deepen the drop; one column stands for both.
    const double warmth = scale::copper_per_K * scatter_.cable_temperature_K;
    out[columns_.common(CommonUnknown::copper)] +=
        drop_V * std::sqrt(warmth * warmth + scatter_.excitation_drop * scatter_.excitation_drop);
}

void Predictor::local_slopes(const Row& row, std::span<double> out) {
    const Reading& r = sheet_.readings[row.reading];
    const int c = condition_.positions[r.cell].cell;
    const scale::CellCondition& cell = condition_.cells[c];
    const CellScatter own = cell_scatter(description_.cells[c], scatter_);
    const double force_N = forces().force_N(state_of(row), c);
    const LiftedBench& bench = lifted_at(r.cell, true);
    const double value = local_value(row, cell, bench.sound, force_N);

    for (int q = 0; q < perturbed_count; ++q) {
        const auto what = static_cast<Perturbed>(q);
        if (what == Perturbed::trim) continue;
        const double moved = local_value(row, bench.moved_cell[q], bench.moved[q], force_N) - value;
        out[what == Perturbed::copper ? columns_.common(CommonUnknown::copper)
                                      : cell_column(c, unknown_of(what))] += moved;
    }
    if (row.kind != RowKind::lifted_signal) return;
    scale::CellCondition shifted = cell;
    shifted.zero_V_per_V += ratio_step;
    const double per_ratio = (local_value(row, shifted, bench.sound, force_N) - value) / ratio_step;
    const double per_N = per_ratio * circuit::bridge_ratio_per_N(cell);
    out[cell_column(c, CellUnknown::sensitivity)] += per_N * force_N * own.sensitivity;
    out[cell_column(c, CellUnknown::zero)] += per_ratio * own.zero_V_per_V;
    forces().add_slopes(row.reading, c, per_N, columns_, out);
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
        case RowKind::bus_signal: {
            const int only = box_.per_cell() ? r.cell : -1;
            const double reference_V = bus_state(state, r.cell, false).solution.reference_V;
            add_bus_slopes(state, row.reading, only, r.is_ratio ? 1.0 : reference_V, out);
            compensate(out);
            break;
        }
        case RowKind::excitation:
            excitation_slopes(row, out);
            break;
        case RowKind::lifted_signal:
        case RowKind::resistance:
            local_slopes(row, out);
            break;
    }
}

}  // namespace cornerbench::diagnosis
