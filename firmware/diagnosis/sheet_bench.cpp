#include "firmware/diagnosis/sheet_bench.h"

#include "firmware/diagnosis/candidates.h"
#include "firmware/diagnosis/two_faults.h"

namespace cornerbench::diagnosis {

namespace {

void drop_ignored(Rows& rows, const Ignored& ignored) {
    int kept = 0;
    int measured = 0;
    for (int i = 0; i < rows.measured + rows.open_ended; ++i) {
        if (ignored[rows.row[i].reading]) continue;
        if (i < rows.measured) ++measured;
        rows.row[kept++] = rows.row[i];
    }
    rows.measured = measured;
    rows.open_ended = kept - measured;
}

}  // namespace

Ignored without(std::span<const WildReading> set_aside) {
    Ignored ignored{};
    for (const WildReading& wild : set_aside) ignored[wild.reading] = true;
    return ignored;
}

SheetBench* set_up_bench(numbers::Arena& arena, const scale::Description& d, const Sheet& sheet,
                         const Scatter& scatter, const Ignored& ignored) {
    SheetBench* bench = arena.make<SheetBench>();
    if (bench == nullptr) return nullptr;
    bench->history = load_history(sheet);
    bench->rows = rows_of(sheet, d, scatter);
    drop_ignored(bench->rows, ignored);
    bench->predictor = arena.make<Predictor>(arena, d, sheet, bench->history, scatter);
    if (bench->predictor == nullptr) return nullptr;
    bench->likelihood = arena.make<Likelihood>(arena, *bench->predictor, bench->rows);
    if (bench->likelihood == nullptr) return nullptr;
    bench->evidence = arena.make<EvidenceIntegral>(arena, d, sheet, bench->rows, *bench->predictor,
                                                   *bench->likelihood, scatter);
    return arena.exhausted() ? nullptr : bench;
}

std::size_t diagnosis_doubles(const scale::Description& d, const Sheet& sheet) {
    numbers::Arena count{std::span<double>{}};
    const LoadHistory history = load_history(sheet);
    const Rows rows = rows_of(sheet, d, Scatter{});
    Predictor predictor(count, d, sheet, history, Scatter{});
    Likelihood likelihood(count, predictor, rows);
    const Scatter scatter;
    EvidenceIntegral evidence(count, d, sheet, rows, predictor, likelihood, scatter);
    count.take<char>(static_cast<int>(sizeof(SheetBench) + sizeof(Predictor) + sizeof(Likelihood) +
                                      sizeof(EvidenceIntegral)) +
                     64);
    const int n = candidate_count(d);
    count.take<Candidate>(2 * n);
    count.take<Evidence>(10 * n);
    count.take(10 * n + grouping_doubles(rows.measured) + rows.measured * (rows.measured + 24) + 4096);
    return count.used() + pairing_doubles(rows.measured);
}

}  // namespace cornerbench::diagnosis
