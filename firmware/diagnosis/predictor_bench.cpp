#include "firmware/diagnosis/predictor.h"
#include "firmware/numbers/elementary.h"

// A position's cell on the bench meter: its lifted signal and its resistances, and their slopes.
namespace cornerbench::diagnosis {

namespace {

/// Stands for wires that nothing connects, so that a logarithm stays finite.
constexpr double endless_ohm = 1.0e13;

}  // namespace

Predictor::OnBench& Predictor::on_bench(int position) {
    const int slot = touched_.slot_of(position);
    OnBench& on = slot >= 0 ? on_bench_[slot] : sound_on_bench_[position];
    if (!on.with_bench) {
        on.bench = LiftedBench(condition_.cells[condition_.positions[position].cell]);
        on.with_bench = true;
    }
    return on;
}

double Predictor::lifted_signal_ratio(int position, int state) {
    const int cell = condition_.positions[position].cell;
    const double force_N = forces().force_N(state, cell);
    if (!touched_.touches(position)) {
        const double ratio = circuit::bridge_ratio(condition_.cells[cell], force_N);
        const auto& curve = sound_positions_[position].lifted_signal;
        if (curve.reaches(ratio)) return curve.at(ratio)[0];
    }
    return on_bench(position).bench.signal_ratio(force_N);
}

double Predictor::log_resistance(LiftedBench& bench, const Reading& reading, double force_N) {
    const double ohm = bench.resistance_ohm(reading.between_a, reading.between_b, force_N);
    return numbers::log(ohm < endless_ohm ? ohm : endless_ohm);
}

MovedBenches& Predictor::moved_on_bench(int position) {
    OnBench& on = on_bench(position);
    if (!on.with_moved) {
        const int cell = condition_.positions[position].cell;
        on.moved =
            moved_benches(on.bench.cell(), description_.cells[cell], condition_.trim, calibrated_, scatter_);
        on.with_moved = true;
    }
    return on.moved;
}

const SignalSlopes& Predictor::signal_on_bench(int position) {
    const MovedBenches& moved = moved_on_bench(position);
    OnBench& on = on_bench(position);
    if (!on.with_signal) {
        on.signal = signal_slopes(on.bench, moved);
        on.with_signal = true;
    }
    return on.signal;
}

double& Predictor::bench_slope(int cell, Perturbed moved, std::span<double> out) const {
    return out[moved == Perturbed::copper ? columns_.common(CommonUnknown::copper)
                                          : cell_column(cell, unknown_of(moved))];
}

void Predictor::resistance_slopes(const Row& row, std::span<double> out) {
    const Reading& r = sheet_.readings[row.reading];
    const int c = condition_.positions[r.cell].cell;
    const double force_N = forces().force_N(state_of(row), c);
    const double value = log_resistance(on_bench(r.cell).bench, r, force_N);
    MovedBenches& moved = moved_on_bench(r.cell);
    for (int q = 0; q < perturbed_count; ++q) {
        const auto what = static_cast<Perturbed>(q);
        if (what == Perturbed::trim) continue;
        bench_slope(c, what, out) += log_resistance(moved[q], r, force_N) - value;
    }
}

double Predictor::resistance_variance(const Row& row) {
    const Reading& r = sheet_.readings[row.reading];
    const int c = condition_.positions[r.cell].cell;
    const double force_N = forces().force_N(state_of(row), c);
    const double value = log_resistance(on_bench(r.cell).bench, r, force_N);
    MovedBenches& moved = moved_on_bench(r.cell);
    double sum = 0.0;
    for (int q = 0; q < perturbed_count; ++q) {
        if (static_cast<Perturbed>(q) == Perturbed::trim) continue;
        const double slope = log_resistance(moved[q], r, force_N) - value;
        sum += slope * slope;
    }
    return sum;
}

void Predictor::lifted_signal_slopes(const Row& row, std::span<double> out) {
    const Reading& r = sheet_.readings[row.reading];
    const int c = condition_.positions[r.cell].cell;
    const CellScatter own = cell_scatter(description_.cells[c], scatter_);
    const double force_N = forces().force_N(state_of(row), c);
    const double volt = r.is_ratio ? 1.0 : excitation_V(r);
    const SignalSlopes& signal = signal_on_bench(r.cell);
    for (int q = 0; q < perturbed_count; ++q) {
        const auto what = static_cast<Perturbed>(q);
        if (what == Perturbed::trim) continue;
        bench_slope(c, what, out) += volt * signal.moved_by[q].at(force_N);
    }
    const double per_ratio = volt * signal.per_ratio.at(force_N);
    const double per_N = per_ratio * circuit::bridge_ratio_per_N(condition_.cells[c]);
    out[cell_column(c, CellUnknown::sensitivity)] += per_N * force_N * own.sensitivity;
    out[cell_column(c, CellUnknown::zero)] += per_ratio * own.zero_V_per_V;
    forces().add_slopes(row.reading, c, per_N, columns_, out);
}

}  // namespace cornerbench::diagnosis
