#include "firmware/diagnosis/lifted_bench.h"

namespace cornerbench::diagnosis {

MovedBenches moved_benches(const scale::CellCondition& cell, const scale::Cell& bought,
                           const scale::Trim& trim, bool trims_calibrated, const Scatter& scatter) {
    MovedBenches moved;
    for (int q = 0; q < perturbed_count; ++q) {
        scale::CellCondition moved_cell = cell;
        scale::BoxPosition unused;
        perturb(static_cast<Perturbed>(q), bought, trim, trims_calibrated, scatter, moved_cell, unused);
        moved[q] = LiftedBench(moved_cell);
    }
    return moved;
}

SignalSlopes signal_slopes(const LiftedBench& bench, const MovedBenches& moved) {
    scale::CellCondition shifted_cell = bench.cell();
    shifted_cell.zero_V_per_V += slope_ratio_step;
    const LiftedBench shifted(shifted_cell);
    const double force_N = slope_load_N(bench.cell());
    const double value_at[] = {bench.signal_ratio(0.0), bench.signal_ratio(force_N)};
    const auto against = [&](const LiftedBench& other, double per) {
        const double at_rest = (other.signal_ratio(0.0) - value_at[0]) / per;
        const double loaded = (other.signal_ratio(force_N) - value_at[1]) / per;
        return SignalSlopes::Straight{at_rest, (loaded - at_rest) / force_N};
    };
    SignalSlopes slopes;
    slopes.per_ratio = against(shifted, slope_ratio_step);
    for (int q = 0; q < perturbed_count; ++q) {
        if (static_cast<Perturbed>(q) != Perturbed::trim) slopes.moved_by[q] = against(moved[q], 1.0);
    }
    return slopes;
}

}  // namespace cornerbench::diagnosis
