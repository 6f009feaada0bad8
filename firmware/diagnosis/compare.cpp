#include <cmath>

#include "firmware/diagnosis/diagnose.h"
#include "firmware/diagnosis/inspection.h"
#include "firmware/diagnosis/no_value.h"
#include "firmware/diagnosis/sheet_bench.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

int compare(const scale::Description& d, const Sheet& sheet, const scale::Fault& fault,
            std::span<const WildReading> set_aside, std::span<double> memory, std::span<Compared> out,
            const Scatter& scatter, const scale::Fault& also) {
    numbers::Arena arena(memory);
    SheetBench* bench = set_up_bench(arena, d, sheet, scatter, without(set_aside));
    if (bench == nullptr || !bench->predictor->prepare() || !bench->likelihood->prepare()) return 0;
    bench->evidence->hold(also);
    bench->evidence->log_density(fault);
    const int rows = bench->likelihood->rows();
    const std::span<double> residual = arena.take(rows);
    const std::span<double> uncertainty = arena.take(rows);
    const std::span<double> alone = arena.take(rows);
    const std::span<double> alone_uncertainty = arena.take(rows);
    const std::span<double> gain = arena.take(rows);
    if (arena.exhausted() || static_cast<int>(out.size()) < rows) return 0;
    bench->likelihood->residuals(residual, uncertainty);
    bench->likelihood->leave_one_out(alone, gain, alone_uncertainty);
    for (int i = 0; i < rows; ++i) {
        const Row& row = bench->likelihood->row(i);
        out[i] = {row.reading,
                  row.value,
                  row.value - residual[i],
                  uncertainty[i],
                  row.value - alone[i] * alone_uncertainty[i],
                  alone_uncertainty[i]};
    }
    return rows;
}

double misfit_of(const scale::Description& d, const Sheet& sheet, const scale::Fault& fault,
                 std::span<const WildReading> set_aside, std::span<double> memory, const Scatter& scatter,
                 const scale::Fault& also) {
    constexpr double out_of_all_fit = 1.0e300;
    numbers::Arena arena(memory);
    const SheetBench* bench = set_up_bench(arena, d, sheet, scatter, without(set_aside));
    if (bench == nullptr || !bench->predictor->prepare() || !bench->likelihood->prepare()) {
        return out_of_all_fit;
    }
    bench->evidence->hold(also);
    return -2.0 * bench->evidence->log_fit(fault);
}

int compare_seen(const scale::Description& d, const Sheet& sheet, const scale::Fault& fault,
                 std::span<const WildReading> set_aside, std::span<double> memory, std::span<Seen> out,
                 const Scatter& scatter, const scale::Fault& also) {
    numbers::Arena arena(memory);
    const SheetBench* bench = set_up_bench(arena, d, sheet, scatter, without(set_aside));
    if (bench == nullptr || !bench->predictor->prepare() || !bench->predictor->set(fault)) return 0;
    int count = 0;
    const auto put = [&](const Seen& seen) {
        if (count < static_cast<int>(out.size())) out[count++] = seen;
    };
    const Rows& rows = bench->rows;
    for (int i = rows.measured; i < rows.measured + rows.open_ended; ++i) {
        const Row& row = rows.row[i];
        put({row.reading, numbers::exp(log_shown(*bench->predictor, row, sheet, scatter)),
             bench->predictor->mean(row), bench->predictor->shown(row)});
    }
    for (int r = 0; r < static_cast<int>(sheet.readings.size()); ++r) {
        const Reading& reading = sheet.readings[r];
        if (reading.quantity == Quantity::inspection) {
            put({r, numbers::exp(log_inspection(reading, fault, also)), 0.0, Shown::value});
        }
    }
    return count;
}

}  // namespace cornerbench::diagnosis
